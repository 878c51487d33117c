#include "triangle_halver.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cstring>
#include <limits>
#include <tuple>
#include <utility>

#include "trammel/base/large_pages.hpp"

namespace trammel {
namespace {

/// Longer runs are shared out to so many bins first.
constexpr std::size_t kLongRun = 256;
constexpr std::size_t kBins = 64;

/// Whole numbers that ascend with a coordinate from `low` to `high`.
struct Bins {
  std::size_t axis;
  float low, per_mm;
  [[nodiscard]] std::size_t of(const TriangleMiddle& middle) const {
    return std::min(kBins - 1, static_cast<std::size_t>((middle.at[axis] - low) * per_mm));
  }
};

/// In one vector; the fourth means nothing.
Eigen::Array4f four_floats(const TriangleMiddle& middle) {
  static_assert(sizeof(TriangleMiddle) == sizeof(Eigen::Array4f));
  Eigen::Array4f out;
  std::memcpy(out.data(), &middle, sizeof out);
  return out;
}

}  // namespace

TriangleHalver::TriangleHalver(std::vector<TriangleMiddle> middles)
    : middles_(std::move(middles)), spare_(large_vector<TriangleMiddle>(middles_.size())) {}

void TriangleHalver::halve(std::size_t begin, std::size_t middle, std::size_t end) {
  Eigen::Array4f low = four_floats(middles_[begin]), high = low;
  for (std::size_t i = begin; i < end; ++i) {
    low = low.min(four_floats(middles_[i]));
    high = high.max(four_floats(middles_[i]));
  }
  Eigen::Index axis = 0;
  (high - low).head<3>().maxCoeff(&axis);
  const auto along = static_cast<std::size_t>(axis);
  const auto at = [&](std::size_t i) { return middles_.begin() + static_cast<std::ptrdiff_t>(i); };
  std::size_t first = begin, last = end;
  if (end - begin > kLongRun)
    std::tie(first, last) = gathered_about(begin, middle, end, along, low[axis], high[axis]);
  std::nth_element(
      at(first), at(middle), at(last), [axis](const TriangleMiddle& s, const TriangleMiddle& t) {
        return s.at[axis] < t.at[axis] || (s.at[axis] == t.at[axis] && s.triangle < t.triangle);
      });
}

std::pair<std::size_t, std::size_t> TriangleHalver::gathered_about(std::size_t begin,
                                                                   std::size_t middle,
                                                                   std::size_t end,
                                                                   std::size_t axis, float low,
                                                                   float high) {
  const float per_mm = static_cast<float>(kBins) / (high - low);
  if (!(per_mm > 0.0F && per_mm <= std::numeric_limits<float>::max())) return {begin, end};
  const Bins bins{axis, low, per_mm};
  std::array<std::size_t, kBins> count{};
  for (std::size_t i = begin; i < end; ++i)
    ++count[bins.of(middles_[i])];
  std::size_t bin = 0, first = begin;
  while (first + count[bin] <= middle)
    first += count[bin++];
  const std::size_t last = first + count[bin];
  std::array<std::size_t, 3> next = {begin, first, last};  // before the bin, in it and after
  for (std::size_t i = begin; i < end; ++i) {
    const std::size_t own = bins.of(middles_[i]);
    spare_[next[static_cast<std::size_t>(own >= bin) + static_cast<std::size_t>(own > bin)]++] =
        middles_[i];
  }
  std::copy(spare_.begin() + static_cast<std::ptrdiff_t>(begin),
            spare_.begin() + static_cast<std::ptrdiff_t>(end),
            middles_.begin() + static_cast<std::ptrdiff_t>(begin));
  return {first, last};
}

}  // namespace trammel
