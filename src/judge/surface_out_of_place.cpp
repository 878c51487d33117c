#include "trammel/judge/surface_out_of_place.hpp"

#include <cstdint>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kFewest = 5;
/// What lies nearer to a face may belong to it: its normal went wrong.
constexpr double kOffFace_mm = 0.25;
constexpr double kOpposite = 0.5;

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

}  // namespace

std::vector<PointPatch> surfaces_inside(const Eigen::Matrix3Xd& points_mm,
                                        const Deviations& deviations, const CellReadings& readings,
                                        const Eigen::VectorXi& region_of_cell,
                                        const std::vector<Region>& regions, double apart_mm) {
  std::vector<Index> inside;
  for (Index i = 0; i < points_mm.cols(); ++i) {
    if (deviations.reading[static_cast<std::size_t>(i)] == Reading::Inside &&
        !spoken_for(readings.cell_of_point[i], region_of_cell, regions)) {
      inside.push_back(i);
    }
  }
  return point_patches(points_mm, inside, apart_mm, kFewest);
}

std::vector<PointPatch> surfaces_in_gaps(const Eigen::Matrix3Xd& points_mm,
                                         const SurfaceIndex& design, const Deviations& deviations,
                                         double apart_mm) {
  std::vector<std::uint8_t> in_gap(static_cast<std::size_t>(points_mm.cols()), 0);
  for_each_index(in_gap.size(), [&](std::size_t i) {
    if (deviations.reading[i] != Reading::Beside) return;
    const Vector3d p = points_mm.col(static_cast<Index>(i));
    in_gap[i] = lies_in_gap(design, p, deviations.reach_mm) ? 1 : 0;
  });
  std::vector<Index> chosen;
  for (std::size_t i = 0; i < in_gap.size(); ++i)
    if (in_gap[i] != 0) chosen.push_back(static_cast<Index>(i));
  return point_patches(points_mm, chosen, apart_mm, kFewest);
}

}  // namespace trammel
