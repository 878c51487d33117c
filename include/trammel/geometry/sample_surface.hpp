#pragma once

/// Points spread evenly over a mesh.

#include <Eigen/Core>

#include "trammel/base/random.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct SurfaceSamples {
  Eigen::Matrix3Xd points_mm;  ///< 3 × #S
  Eigen::Matrix3Xd normals;    ///< 3 × #S, unit face normals
  Eigen::VectorXi triangle;    ///< #S
};

/// `count` points, the number on a triangle following its area (systematic sampling along the list
/// of triangles, uniform within each). Triangles without area get none.
[[nodiscard]] SurfaceSamples sample_surface(const Mesh& mesh, std::size_t count, Rng rng);

}  // namespace trammel
