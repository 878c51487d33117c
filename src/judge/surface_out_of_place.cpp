#include "trammel/judge/surface_out_of_place.hpp"

#include <algorithm>
#include <cstdint>

#include "trammel/base/parallel.hpp"
#include "trammel/judge/strays.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kApart_mm = 1.0, kApartSpacings = 2.5;
/// What lies nearer to a face may belong to it: its normal went wrong.
constexpr double kOffFace_mm = 0.25;
constexpr double kOpposite = 0.5;
/// What leans farther from the nearest face is no part of it.
constexpr double kOwnFace = 0.5;

/// The face that it looks like is near enough below: a wall a little off its place, seen where it
/// meets another face.
bool on_own_face(const PlacedScan& scan, const SurfaceIndex& design, const Vector3d& p,
                 const Vector3d& normal) {
  const SurfacePoint own = design.nearest_facing(p, normal, kOwnFace, scan.deviations.reach_mm);
  if (!own.found()) return false;
  const double under_mm = band_at(scan.plan, own.foot_mm).band.under_mm;
  return own.distance_mm + scan.expanded_mm < under_mm;
}

bool spoken_for(int cell, const Eigen::VectorXi& region_of_cell,
                const std::vector<Region>& regions) {
  if (cell < 0 || region_of_cell[cell] == 0) return false;
  const auto id = static_cast<std::size_t>(region_of_cell[cell]);
  return regions[id - 1].outcome != Outcome::Listed;
}

/// Before the middle of a face, and another face looks back within the reach.
bool lies_in_gap(const SurfaceIndex& design, const Vector3d& p, double reach_mm) {
  const SurfacePoint wall = design.nearest(p, reach_mm);
  if (!wall.found() || wall.feature != Feature::Face || wall.distance_mm < kOffFace_mm)
    return false;
  const Vector3d up = design.face_normal(wall.triangle);
  if (up.dot(p - wall.foot_mm) <= 0.0) return false;
  const SurfacePoint opposite = design.nearest_facing(p, -up, kOpposite, reach_mm);
  return opposite.found() && up.dot(opposite.foot_mm - p) > kOffFace_mm;
}

/// Deeper in the material than noise takes it, and facing another way than the face it is nearest
/// to.
bool lies_inside(const PlacedScan& scan, const SurfaceIndex& design, std::size_t point) {
  const Reading reading = scan.deviations.reading[point];
  const auto i = static_cast<Index>(point);
  if (reading == Reading::Inside) {
    const auto& inferred = scan.deviations.inferred;
    return (!inferred.empty() && inferred[point] != 0) ||
           !on_own_face(scan, design, scan.points_mm.col(i), scan.normals.col(i));
  }
  if (reading != Reading::Measured && reading != Reading::Stray) return false;
  const int triangle = scan.deviations.triangle[i];
  const Vector3d normal = scan.normals.col(i);
  if (triangle >= 0 && design.face_normal(triangle).dot(normal) > kOwnFace) return false;
  const Vector3d p = scan.points_mm.col(i);
  const SurfacePoint nearest = design.nearest(p, scan.deviations.reach_mm);
  if (!nearest.found() || design.face_normal(nearest.triangle).dot(normal) > kOwnFace) return false;
  return design.signed_distance(p, nearest) < -surely_inside_mm(scan) &&
         !on_own_face(scan, design, p, normal);
}

/// Patches of the points for which `is_chosen`(point).
template <typename Choose>
std::vector<PointPatch> patches_where(const PlacedScan& scan, double strays_per_mm3,
                                      const Choose& is_chosen) {
  const std::vector<Index> chosen =
      indices_where(static_cast<std::size_t>(scan.points_mm.cols()), is_chosen, 1024);
  const double apart_mm = std::max(kApart_mm, kApartSpacings * scan.spacing_mm);
  std::vector<PointPatch> out = point_patches(scan.points_mm, chosen, apart_mm, kFewestInside);
  drop_chance(out, scan.points_mm, apart_mm,
              {strays_per_mm3, chosen.size(), scan.plan.least_area_mm2, scan.point_mm2});
  return out;
}

}  // namespace

double surely_inside_mm(const PlacedScan& scan) {
  return std::max(kLeastInMaterial_mm, kDeepestNoise * scan.noise_mm);
}

std::vector<std::uint8_t> points_inside(const PlacedScan& scan, const SurfaceIndex& design) {
  std::vector<std::uint8_t> out(static_cast<std::size_t>(scan.points_mm.cols()), 0);
  for_each_index(out.size(), [&](std::size_t i) { out[i] = lies_inside(scan, design, i) ? 1 : 0; });
  return out;
}

std::vector<PointPatch> surfaces_inside(const PlacedScan& scan, const InMaterial& material,
                                        const CellReadings& readings,
                                        const Eigen::VectorXi& region_of_cell,
                                        const std::vector<Region>& regions) {
  return patches_where(scan, material.strays_per_mm3, [&](std::size_t i) {
    return material.inside[i] != 0 &&
           !spoken_for(readings.cell_of_point[static_cast<Index>(i)], region_of_cell, regions);
  });
}

std::vector<PointPatch> surfaces_in_gaps(const PlacedScan& scan, const SurfaceIndex& design,
                                         double strays_per_mm3) {
  const double noise_mm = std::max(kOffFace_mm, kDeepestNoise * scan.noise_mm);
  return patches_where(scan, strays_per_mm3, [&](std::size_t i) {
    if (scan.deviations.reading[i] != Reading::Beside) return false;
    const auto c = static_cast<Index>(i);
    // Either way along the surface's own normal: what is level with the gap's end lies before it.
    const Vector3d step = noise_mm * scan.normals.col(c), p = scan.points_mm.col(c);
    return lies_in_gap(design, p + step, scan.deviations.reach_mm) &&
           lies_in_gap(design, p - step, scan.deviations.reach_mm);
  });
}

}  // namespace trammel
