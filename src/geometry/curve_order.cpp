#include "trammel/geometry/curve_order.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kCells = 1024.0;
constexpr std::uint32_t kLast = 1U << 30U;

/// 0b…cba as 0b…c00b00a, for ten digits.
std::uint32_t spread_by_three(std::uint32_t x) {
  x = (x | x << 16U) & 0x030000ffU;
  x = (x | x << 8U) & 0x0300f00fU;
  x = (x | x << 4U) & 0x030c30c3U;
  return (x | x << 2U) & 0x09249249U;
}

struct Frame {
  Vector3d low = Vector3d::Constant(HUGE_VAL), high = Vector3d::Constant(-HUGE_VAL);
};

Frame frame_of(const Eigen::Matrix3Xd& points) {
  Frame frame;
  for (Index i = 0; i < points.cols(); ++i) {
    if (!points.col(i).allFinite()) continue;
    frame.low = frame.low.cwiseMin(points.col(i));
    frame.high = frame.high.cwiseMax(points.col(i));
  }
  return frame;
}

std::uint32_t key_at(const Vector3d& p, const Vector3d& low, double cells_per_mm) {
  if (!p.allFinite()) return kLast;
  std::uint32_t key = 0;
  for (int k = 0; k < 3; ++k) {
    const double cell = std::clamp((p[k] - low[k]) * cells_per_mm, 0.0, kCells - 1.0);
    key |= spread_by_three(static_cast<std::uint32_t>(cell)) << static_cast<unsigned>(k);
  }
  return key;
}

struct Entry {
  std::uint32_t key, point;
};

/// One pass of a counting sort by eleven bits of the key.
void sort_by_digit(const std::vector<Entry>& from, std::vector<Entry>& to, unsigned shift) {
  std::array<std::size_t, 2048> start{};
  for (const Entry& entry : from)
    ++start[entry.key >> shift & 2047U];
  std::size_t next = 0;
  for (std::size_t& count : start) {
    const std::size_t here = count;
    count = next;
    next += here;
  }
  for (const Entry& entry : from)
    to[start[entry.key >> shift & 2047U]++] = entry;
}

}  // namespace

std::vector<std::uint32_t> curve_order(const Eigen::Matrix3Xd& points_mm) {
  const auto count = static_cast<std::size_t>(points_mm.cols());
  TRAMMEL_CHECK(count < 0xffffffffU, "more points than 32 bits number");
  const Frame frame = frame_of(points_mm);
  const double widest = count > 0 ? (frame.high - frame.low).maxCoeff() : 0.0;
  const double cells_per_mm = widest > 0.0 ? kCells / widest : 0.0;
  std::vector<Entry> entries(count), other(count);
  for_each_index(count, [&](std::size_t i) {
    entries[i] = {key_at(points_mm.col(static_cast<Index>(i)), frame.low, cells_per_mm),
                  static_cast<std::uint32_t>(i)};
  });
  sort_by_digit(entries, other, 0);
  sort_by_digit(other, entries, 11);
  sort_by_digit(entries, other, 22);
  std::vector<std::uint32_t> order(count);
  for_each_index(count, [&](std::size_t i) { order[i] = other[i].point; });
  return order;
}

}  // namespace trammel
