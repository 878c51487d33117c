#include "trammel/judge/deep_points.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "trammel/base/directions.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Directions along a face in which another may stand before the point.
constexpr int kAsides = 8;
constexpr double kAsideFace = 0.7;
/// Of a depth: far more than rounding, far less than another face makes.
constexpr double kMore = 1.01, kAsNear = 0.99;

/// A point near the face that it was read from is not deep under any.
bool lies_on_face(const Deviations& deviations, std::size_t i, double least_mm) {
  const bool inferred = !deviations.inferred.empty() && deviations.inferred[i] != 0;
  return deviations.reading[i] == Reading::Measured && !inferred &&
         std::abs(deviations.signed_mm[static_cast<Index>(i)]) < least_mm;
}

/// Within its band, a face that stands at an angle to the nearest may itself be seen there.
bool lies_at_another_face(const SurfaceIndex& design, const Vector3d& p, const Vector3d& face,
                          double band_mm) {
  const auto asides = directions_across(face, kAsides);
  return std::any_of(asides.begin(), asides.end(), [&](const Vector3d& aside) {
    return design.nearest_facing(p, aside, kAsideFace, band_mm).found();
  });
}

DeepPoint depth_of(const SlitEvidence& e, std::size_t i) {
  const Deviations& deviations = e.scan.deviations;
  const Reading reading = deviations.reading[i];
  const bool across = !e.across.empty() && e.across[i] != 0;
  const double least_mm = surely_inside_mm(e.scan);
  DeepPoint out;
  out.point = static_cast<Index>(i);
  if (reading == Reading::TooFar || reading == Reading::BorderEdge) return out;
  if (!across && lies_on_face(deviations, i, least_mm)) return out;
  const Vector3d p = e.scan.points_mm.col(out.point);
  const SurfacePoint at = e.design.nearest(p, kSeenDeep_mm);
  if (!at.found() || e.design.on_border(at)) return out;
  out.depth_mm = -e.design.signed_distance(p, at);
  out.face = e.design.face_normal(at.triangle);
  const double band_mm = beyond_band_mm(e.scan, at.foot_mm);
  if (out.depth_mm > band_mm)
    out.kind = Depth::Beyond;
  else if (out.depth_mm > 0.0 && across)
    out.kind = Depth::Across;
  else if (out.depth_mm > least_mm && !lies_at_another_face(e.design, p, out.face, band_mm))
    out.kind = Depth::Shallow;
  return out;
}

/// So deep under the middle of a cell no other face is nearer.
bool is_nearest_at(const SlitEvidence& e, Index cell, double depth_mm) {
  const Vector3d under = e.cells.center_mm.col(cell) - depth_mm * e.cells.normal.col(cell);
  return -e.design.signed_distance(under, e.design.nearest(under)) >= kAsNear * depth_mm;
}

/// Down to where that is so, by halving; 0 where not even at `least`.
double nearest_down_to_mm(const SlitEvidence& e, Index cell, double least_mm) {
  constexpr int kHalvings = 6;
  double low_mm = kMore * least_mm, high_mm = kSeenDeep_mm;
  if (!is_nearest_at(e, cell, low_mm)) return 0.0;
  if (is_nearest_at(e, cell, high_mm)) return high_mm;
  for (int k = 0; k < kHalvings; ++k) {
    const double middle_mm = 0.5 * (low_mm + high_mm);
    (is_nearest_at(e, cell, middle_mm) ? low_mm : high_mm) = middle_mm;
  }
  return low_mm;
}

/// Over all cells, of `share`(cell, least depth of a point that counts there) times its area.
template <typename Share>
double sum_over_cells(const SlitEvidence& e, const Share& share) {
  std::vector<double> parts(static_cast<std::size_t>(e.cells.size()), 0.0);
  for_each_index(parts.size(), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    const double least_mm = beyond_band_mm(e.scan, e.cells.center_mm.col(c));
    parts[i] = e.cells.area_mm2[c] * share(c, least_mm);
  });
  return std::accumulate(parts.begin(), parts.end(), 0.0);
}

}  // namespace

double beyond_band_mm(const PlacedScan& scan, const Vector3d& foot_mm) {
  return band_at(scan.plan, foot_mm).band.under_mm +
         std::max(scan.expanded_mm, kDeepestNoise * scan.noise_mm);
}

std::vector<DeepPoint> deep_points(const SlitEvidence& e) {
  std::vector<DeepPoint> all(static_cast<std::size_t>(e.scan.points_mm.cols()));
  for_each_index(all.size(), [&](std::size_t i) { all[i] = depth_of(e, i); });
  all.erase(std::remove_if(all.begin(), all.end(),
                           [](const DeepPoint& point) { return point.kind == Depth::None; }),
            all.end());
  return all;
}

double deep_area_mm2(const SlitEvidence& e) {
  return sum_over_cells(e, [&](Index cell, double least_mm) {
    return least_mm < kSeenDeep_mm && is_nearest_at(e, cell, kMore * least_mm) ? 1.0 : 0.0;
  });
}

double deep_volume_mm3(const SlitEvidence& e) {
  return sum_over_cells(e, [&](Index cell, double least_mm) {
    return std::max(0.0, nearest_down_to_mm(e, cell, least_mm) - least_mm);
  });
}

}  // namespace trammel
