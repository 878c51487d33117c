#include "bench/wavy_housing.hpp"

#include <cmath>

#include "support/shapes.hpp"

namespace trammel::bench {

Mesh wavy_housing(Eigen::Index least_triangles) {
  Mesh mesh = test::housing();
  for (double edge_mm = 30.0; mesh.triangles.cols() < least_triangles; edge_mm *= 0.93)
    mesh = test::refined(mesh, edge_mm);
  return test::displaced(mesh, [](const Eigen::Vector3d& p) {
    return Eigen::Vector3d(0.3 * std::sin(p.y() / 7.0), 0.3 * std::sin(p.z() / 6.0),
                           0.3 * std::sin(p.x() / 9.0));
  });
}

}  // namespace trammel::bench
