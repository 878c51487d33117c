#include "trammel/judge/strays.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/poisson.hpp"
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

/// The least number of others within the radius that are no chance about any of `count` points.
int fewest_others(double mean, std::size_t count) {
  const double log_tried = std::log(static_cast<double>(count) * kRadii);
  int fewest = 1;
  while (log_tried + log_as_many(fewest, mean) > std::log(kByChance))
    ++fewest;
  return fewest;
}

/// Points, one of them in the middle, that are no chance anywhere in a disc of the least area.
int points_that_stand_out(const AmongStrays& among) {
  const double radius_mm = std::sqrt(among.least_area_mm2 / kPi);
  return 1 + fewest_others(strays_about(among.strays_per_mm3, radius_mm), among.count);
}

bool is_chance(const PointPatch& patch, const Eigen::Matrix3Xd& points_mm, double reach_mm,
               const AmongStrays& among) {
  std::vector<int> members(patch.members.begin(), patch.members.end());
  std::sort(members.begin(), members.end());
  const PointIndex index(points_mm, members);
  double radius_mm = reach_mm;
  for (int k = 0; k < kRadii; ++k, radius_mm *= kNextRadius) {
    const int others = fewest_others(strays_about(among.strays_per_mm3, radius_mm), among.count);
    const auto is_dense = [&](int i) {
      const auto found = index.nearest(points_mm.col(i), others + 1, radius_mm);
      return static_cast<int>(found.size()) > others;
    };
    if (patch.points > others && std::any_of(members.begin(), members.end(), is_dense))
      return false;
  }
  return true;
}

}  // namespace

double strays_per_mm3(const PlacedScan& scan, const SurfaceIndex& design,
                      const std::vector<std::uint8_t>& inside) {
  const auto in = static_cast<double>(std::count(inside.begin(), inside.end(), 1));
  if (in == 0.0 || design.has_border()) return 0.0;
  const double material_mm3 = signed_volume_mm3(design.mesh());
  if (!(material_mm3 > 0.0)) return 0.0;
  const double surely_mm = std::max(scan.expanded_mm, surely_inside_mm(scan));
  const auto above = indices_where(inside.size(), [&](std::size_t i) {
    const auto at = static_cast<Index>(i);
    const Reading reading = scan.deviations.reading[i];
    if (inside[i] != 0 || reading == Reading::TooFar) return false;
    if (reading == Reading::Measured && scan.deviations.signed_mm[at] < surely_mm) return false;
    const Eigen::Vector3d p = scan.points_mm.col(at);
    const SurfacePoint foot = design.nearest(p, scan.deviations.reach_mm);
    if (!foot.found()) return false;
    const double over_mm =
        design.signed_distance(p, foot) - surely_mm - band_at(scan.plan, foot.foot_mm).band.over_mm;
    return over_mm > 0.0 && over_mm <= kAbove_mm;
  });
  return std::min(in / material_mm3, static_cast<double>(above.size()) /
                                         (kAbove_mm * surface_area_mm2(design.mesh())));
}

double strays_about(double strays_per_mm3, double radius_mm) {
  return strays_per_mm3 * 4.0 / 3.0 * kPi * radius_mm * radius_mm * radius_mm;
}

bool may_hide(const AmongStrays& among, double bare_mm, int fewest) {
  if (among.count == 0 || strays_about(among.strays_per_mm3, bare_mm) < kFilled) return false;
  return std::max(fewest, points_that_stand_out(among)) >
         kOnOneWall * among.least_area_mm2 / among.point_mm2;
}

void drop_chance(std::vector<PointPatch>& patches, const Eigen::Matrix3Xd& points_mm,
                 double reach_mm, const AmongStrays& among) {
  if (patches.empty() || !(among.strays_per_mm3 > 0.0)) return;
  if (points_that_stand_out(among) > kSeenAslant * among.least_area_mm2 / among.point_mm2) return;
  const auto is_one = [&](const PointPatch& patch) {
    return is_chance(patch, points_mm, reach_mm, among);
  };
  patches.erase(std::remove_if(patches.begin(), patches.end(), is_one), patches.end());
}

}  // namespace trammel
