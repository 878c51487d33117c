#include "flaws.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "support/shapes.hpp"

namespace trammel::demo {
namespace {

/// Short enough that a bent face stays smooth: a bow of 0.9 mm over 110 mm leaves a chord of 3 mm
/// by less than 1 µm.
constexpr double kEdge_mm = 3.0;

}  // namespace

Mesh shrunk(Mesh mesh, double share) {
  const Eigen::Vector3d center = bounding_box(mesh.vertices_mm).center_mm();
  mesh.vertices_mm =
      (((mesh.vertices_mm.colwise() - center) * (1.0 - share)).colwise() + center).eval();
  return mesh;
}

Mesh wall_bowed_in(const Mesh& housing, double depth_mm) {
  constexpr double kHalfLength = 55.0, kFloor = 3.0, kHeight = 40.0, kWall = 2.4;
  return test::displaced(test::refined(housing, kEdge_mm), [&](const Eigen::Vector3d& p) {
    if (p.y() > kWall + 1e-9) return Eigen::Vector3d(0, 0, 0);
    const double along = (p.x() - kHalfLength) / kHalfLength;
    const double up = std::max(0.0, (p.z() - kFloor) / (kHeight - kFloor));
    return Eigen::Vector3d(0, depth_mm * (1.0 - along * along) * up, 0);
  });
}

Mesh upright_twisted(const Mesh& bracket, double angle_rad) {
  constexpr double kThickness = 3.0, kHeight = 55.0;
  const Eigen::Vector3d axis_foot(0.5 * kThickness, 30.0, 0.0);
  return test::displaced(test::refined(bracket, kEdge_mm), [&](const Eigen::Vector3d& p) {
    const double up = std::max(0.0, (p.z() - kThickness) / (kHeight - kThickness));
    const Eigen::AngleAxisd turn(angle_rad * up, Eigen::Vector3d::UnitZ());
    return Eigen::Vector3d(turn * (p - axis_foot) - (p - axis_foot));
  });
}

}  // namespace trammel::demo
