#include "trammel/judge/strays.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// Above the limits of the faces; strays are counted there.
constexpr double kAbove_mm = 1.0;
constexpr double kByChance = 0.01;
constexpr double kReached = 0.25;
/// Strays so thick that any step leads on: a patch must be that large to be seen among them.
constexpr double kMostReached = 0.8;
constexpr int kLargest = 200;

double ball_mm3(double radius_mm) {
  return 4.0 / 3.0 * kPi * radius_mm * radius_mm * radius_mm;
}

/// Chance that a stray's patch has exactly `n` points (Borel).
double share_of_patches(int n, double reached) {
  return std::exp(-reached * n + (n - 1) * std::log(reached * n) - std::lgamma(n + 1.0));
}

/// Patches of `fewest` and more among `count` strays, on average.
double patches_by_chance(int fewest, double reached, std::size_t count) {
  double patches = 0.0;
  for (int n = fewest; n < fewest + 2 * kLargest; ++n)
    patches += static_cast<double>(count) / n * share_of_patches(n, reached);
  return patches;
}

}  // namespace

double strays_per_mm3(const PlacedScan& scan, const SurfaceIndex& design,
                      const std::vector<std::uint8_t>& inside) {
  const double material_mm3 = signed_volume_mm3(design.mesh());
  if (design.has_border() || !(material_mm3 > 0.0)) return 0.0;
  const double surely_mm = std::max(scan.expanded_mm, surely_inside_mm(scan));
  const auto above = indices_where(inside.size(), [&](std::size_t i) {
    const auto at = static_cast<Index>(i);
    const bool is_read = scan.deviations.reading[i] == Reading::Measured;
    if (inside[i] != 0 || (is_read && scan.deviations.signed_mm[at] < surely_mm)) return false;
    const Eigen::Vector3d p = scan.points_mm.col(at);
    const SurfacePoint foot = design.nearest(p, scan.deviations.reach_mm);
    if (!foot.found()) return false;
    const double over_mm =
        design.signed_distance(p, foot) - surely_mm - band_at(scan.plan, foot.foot_mm).band.over_mm;
    return over_mm > 0.0 && over_mm <= kAbove_mm;
  });
  const auto in = static_cast<double>(std::count(inside.begin(), inside.end(), 1));
  return std::min(in / material_mm3, static_cast<double>(above.size()) /
                                         (kAbove_mm * surface_area_mm2(design.mesh())));
}

PatchRule patch_rule(double strays_per_mm3, std::size_t count, const PatchRule& usual,
                     double least_mm) {
  if (!(strays_per_mm3 > 0.0) || count == 0) return usual;
  const double enough_mm = std::cbrt(kReached / (strays_per_mm3 * ball_mm3(1.0)));
  PatchRule rule = usual;
  rule.apart_mm = std::min(usual.apart_mm, std::max(least_mm, enough_mm));
  const double reached = std::min(kMostReached, strays_per_mm3 * ball_mm3(rule.apart_mm));
  while (rule.fewest < kLargest && patches_by_chance(rule.fewest, reached, count) > kByChance)
    ++rule.fewest;
  return rule;
}

}  // namespace trammel
