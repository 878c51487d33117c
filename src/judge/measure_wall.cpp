#include "trammel/judge/measure_wall.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

const double kParallel_rad = kDegree;
constexpr double kInside_mm = 1e-3;  // a ray starts so far under the face: single precision

}  // namespace

Through through_material(const Vector3d& from_mm, const Vector3d& normal, const SurfaceCells& cells,
                         const SurfaceRays& rays) {
  Through out;
  const SurfaceRays::Hit hit = rays.first_hit(from_mm - kInside_mm * normal, -normal);
  if (hit.cell < 0) return out;
  const Vector3d out_of = cells.normal.col(hit.cell);
  const double turn = -out_of.dot(normal);
  if (!(turn > 0.0)) return out;  // not the far side of any material
  out.cell = hit.cell;
  out.thickness_mm = out_of.dot(cells.center_mm.col(hit.cell) - from_mm) / turn;
  return out;
}

DrawnWall find_wall(const SmoothFace& face, const SmoothFaces& faces, const SurfaceCells& cells,
                    const SurfaceRays& rays, double margin_mm) {
  DrawnWall wall;
  const Through at = through_material(face.at_mm, face.normal, cells, rays);
  if (at.cell < 0) {
    wall.reason = "the design has no other side behind it";
    return wall;
  }
  const FoundFace found = faces.at(face.at_mm - at.thickness_mm * face.normal);
  wall.reason = found.reason;
  if (wall.reason.empty() &&
      (!found.face.flat || angle_between(found.face.normal, -face.normal) > kParallel_rad))
    wall.reason = "the design has no flat parallel side behind it";
  if (!wall.reason.empty()) return wall;
  wall.other = found.face;
  wall.thickness_mm = at.thickness_mm;
  const Eigen::VectorXi of_front = without_edges(cells_of_face(face, cells), cells, margin_mm),
                        of_back = without_edges(cells_of_face(found.face, cells), cells, margin_mm);
  std::vector<double> drawn;
  for (Index c = 0; c < cells.size(); ++c) {
    if (of_front[c] < 0) continue;
    const Through one = through_material(cells.center_mm.col(c), face.normal, cells, rays);
    if (one.cell < 0 || of_back[one.cell] < 0) continue;
    wall.front.push_back(static_cast<int>(c));
    wall.back.push_back(one.cell);
    drawn.push_back(one.thickness_mm);
  }
  wall.drawn_mm = Eigen::Map<const Eigen::VectorXd>(drawn.data(), static_cast<Index>(drawn.size()));
  return wall;
}

CellValues wall_values(const DrawnWall& wall, const SurfaceCells& cells,
                       const CellReadings& readings, const Eigen::VectorXd& points) {
  CellValues out;
  out.chosen.setConstant(cells.size(), -1);
  out.value_mm.setConstant(cells.size(), std::numeric_limits<double>::quiet_NaN());
  out.points = points;
  out.missing.assign(static_cast<std::size_t>(cells.size()), 0);
  out.support = out.support_across = out.points_across = Eigen::VectorXd::Zero(cells.size());
  for (std::size_t i = 0; i < wall.front.size(); ++i) {
    const int front = wall.front[i], back = wall.back[i];
    out.chosen[front] = 0;
    out.points_across[front] = points[back] * cells.area_mm2[front] / cells.area_mm2[back];
    if (readings.is_missing(front) || readings.is_missing(back))
      out.missing[static_cast<std::size_t>(front)] = 1;
    if (!has_reading(readings, front) || !has_reading(readings, back)) continue;
    out.support[front] = readings.support[front];
    out.support_across[front] = readings.support[back];
    out.value_mm[front] = wall.drawn_mm[static_cast<Index>(i)] + readings.deviation_mm[front] +
                          readings.deviation_mm[back];
  }
  return out;
}

}  // namespace trammel
