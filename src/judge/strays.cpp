#include "trammel/judge/strays.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// Above the limits of the faces; strays are counted there.
constexpr double kAbove_mm = 1.0;
/// Of scans that have a patch by chance: undecided for it is the lesser evil.
constexpr double kByChance = 0.05;
constexpr int kRadii = 7;
constexpr double kNextRadius = 0.75;
constexpr double kSeenAslant = 1.0 / 3.0;
/// Of the points that the least area has: as few as one wall of it holds by chance.
constexpr double kOnOneWall = 0.5;
/// Of the bare places that hold a stray: one in twenty, by a density that is a third of theirs in
/// sheet of 2 mm, as strays count in the material only where they lie deep and face elsewhere.
constexpr double kFilled = 0.05 / 3.0;

double ball_mm3(double radius_mm) {
  return 4.0 / 3.0 * kPi * radius_mm * radius_mm * radius_mm;
}

/// The least number of others within the radius that are no chance about any of `count` points.
int fewest_others(double mean, std::size_t count) {
  const double log_tried = std::log(static_cast<double>(count) * kRadii);
  int fewest = 1;
  while (log_tried + log_as_many(fewest, mean) > std::log(kByChance))
    ++fewest;
  return fewest;
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

double log_as_many(int least, double mean) {
  if (least <= 0 || mean >= least) return 0.0;
  if (mean <= 0.0) return -700.0;
  double term = 1.0, sum = 1.0;
  for (int k = least + 1; term > 1e-12 * sum; ++k)
    sum += term *= mean / k;
  return std::min(0.0, least * std::log(mean) - mean - std::lgamma(least + 1.0) + std::log(sum));
}

int points_that_stand_out(const Joined& joined, double least_area_mm2) {
  const double radius_mm = std::sqrt(least_area_mm2 / kPi);
  return 1 + fewest_others(joined.strays_per_mm3 * ball_mm3(radius_mm), joined.count);
}

bool may_hide(const Joined& joined, double bare_mm, int fewest, double least_area_mm2,
              double point_mm2) {
  if (joined.count == 0 || joined.strays_per_mm3 * ball_mm3(bare_mm) < kFilled) return false;
  return std::max(fewest, points_that_stand_out(joined, least_area_mm2)) >
         kOnOneWall * least_area_mm2 / point_mm2;
}

bool is_chance(const PointPatch& patch, const Joined& joined) {
  std::vector<int> members(patch.members.begin(), patch.members.end());
  std::sort(members.begin(), members.end());
  const PointIndex index(joined.points_mm, members);
  double radius_mm = joined.reach_mm;
  for (int k = 0; k < kRadii; ++k, radius_mm *= kNextRadius) {
    const int others = fewest_others(joined.strays_per_mm3 * ball_mm3(radius_mm), joined.count);
    const auto is_dense = [&](int i) {
      const auto found = index.nearest(joined.points_mm.col(i), others + 1, radius_mm);
      return static_cast<int>(found.size()) > others;
    };
    if (patch.points > others && std::any_of(members.begin(), members.end(), is_dense))
      return false;
  }
  return true;
}

void drop_chance(std::vector<PointPatch>& patches, const Joined& joined, double least_area_mm2,
                 double point_mm2) {
  if (patches.empty() || !(joined.strays_per_mm3 > 0.0)) return;
  if (points_that_stand_out(joined, least_area_mm2) > kSeenAslant * least_area_mm2 / point_mm2)
    return;
  const auto is = [&](const PointPatch& patch) { return is_chance(patch, joined); };
  patches.erase(std::remove_if(patches.begin(), patches.end(), is), patches.end());
}

}  // namespace trammel
