#include "trammel/geometry/chosen_by_place.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr int kFiner = 20;               // powers of two from the usual coordinate to a step
constexpr double kFarthestSteps = 1e15;  // steps; beyond it whole numbers are no longer exact

struct Exponents {
  std::int64_t sum = 0, count = 0;
  Exponents& operator+=(const Exponents& other) {
    sum += other.sum;
    count += other.count;
    return *this;
  }
};

/// As std::ilogb has it, of a finite number above 0; read from its bits, as it is asked millions of
/// times.
std::int64_t exponent_of(double value) {
  std::uint64_t bits = 0;
  std::memcpy(&bits, &value, sizeof bits);
  const auto biased = static_cast<std::int64_t>(bits >> 52U);
  return biased > 0 ? biased - 1023 : std::ilogb(value);
}

/// std::floor of a number that a whole one can hold.
std::int64_t floor_of(double value) {
  const auto toward_zero = static_cast<std::int64_t>(value);
  return toward_zero - (value < static_cast<double>(toward_zero) ? 1 : 0);
}

/// A power of two, far below the size of the cloud and far above rounding: from the mean exponent,
/// which few points that lie far off do not move.
double step_of(const Matrix3Xd& points) {
  const auto all =
      ordered_sum(static_cast<std::size_t>(points.cols()), Exponents{}, [&](std::size_t i) {
        const Vector3d p = points.col(static_cast<Index>(i));
        const double largest = p.cwiseAbs().maxCoeff();
        return p.allFinite() && largest > 0.0 ? Exponents{exponent_of(largest), 1} : Exponents{};
      });
  return all.count == 0 ? 0.0 : std::ldexp(1.0, static_cast<int>(all.sum / all.count) - kFiner);
}

/// The last step of SplitMix64 [Steele, Lea & Flood 2014].
std::uint64_t mixed(std::uint64_t x) {
  x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
  x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
  return x ^ (x >> 31U);
}

std::vector<Index> every_nth(const Matrix3Xd& points, Index count) {
  std::vector<Index> out;
  for (Index i = 0; i < count; ++i) {
    const Index at = i * points.cols() / count;
    if (points.col(at).allFinite()) out.push_back(at);
  }
  return out;
}

}  // namespace

LotsByPlace::LotsByPlace(const Matrix3Xd& points)
    : step_(step_of(points)), per_step_(1.0 / step_) {}

double LotsByPlace::lot(const Vector3d& p) const {
  const Vector3d steps = p * per_step_;  // exact: a power of two
  if (!(steps.cwiseAbs().maxCoeff() < kFarthestSteps)) return 1.0;
  std::uint64_t key = 0;
  for (const double at : steps)
    key = mixed(key + static_cast<std::uint64_t>(floor_of(at)));
  return static_cast<double>(key >> 11U) * 0x1p-53;
}

std::vector<Index> chosen_by_place(const Matrix3Xd& points, Index count) {
  if (points.cols() <= count) return every_nth(points, points.cols());
  const LotsByPlace lots(points);
  if (!lots.can_draw()) return every_nth(points, count);
  const double share = static_cast<double>(count) / static_cast<double>(points.cols());
  std::vector<Index> out = indices_where(
      static_cast<std::size_t>(points.cols()),
      [&](std::size_t i) { return lots.lot(points.col(static_cast<Index>(i))) < share; });
  return static_cast<Index>(out.size()) < count / 2 ? every_nth(points, count) : out;
}

}  // namespace trammel
