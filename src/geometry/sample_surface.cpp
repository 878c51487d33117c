#include "trammel/geometry/sample_surface.hpp"

#include <cmath>
#include <vector>

namespace trammel {
namespace {

/// Uniform in the triangle: a point of the unit square, folded by the square root
/// [Turk 1990, "Generating random points in triangles", Graphics Gems].
Eigen::Vector3d point_in_triangle(const Mesh& mesh, Eigen::Index triangle, Rng& rng) {
  const double root = std::sqrt(rng.uniform());
  const double v = rng.uniform();
  const auto corner = [&](int k) { return mesh.vertices_mm.col(mesh.triangles(k, triangle)); };
  return (1.0 - root) * corner(0) + root * (1.0 - v) * corner(1) + root * v * corner(2);
}

/// For each of `count` samples at even steps along the summed areas, the triangle it falls on.
std::vector<Eigen::Index> spread_over_triangles(const std::vector<double>& areas_up_to,
                                                std::size_t count, double offset) {
  std::vector<Eigen::Index> result;
  result.reserve(count);
  const double step = areas_up_to.back() / static_cast<double>(count);
  std::size_t triangle = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double at = (static_cast<double>(i) + offset) * step;
    while (triangle + 1 < areas_up_to.size() && areas_up_to[triangle] <= at)
      ++triangle;
    result.push_back(static_cast<Eigen::Index>(triangle));
  }
  return result;
}

}  // namespace

SurfaceSamples sample_surface(const Mesh& mesh, std::size_t count, Rng rng) {
  std::vector<double> areas_up_to;
  double area = 0.0;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    area += 0.5 * area_vector(mesh, f).norm();
    areas_up_to.push_back(area);
  }
  if (!(area > 0.0)) count = 0;

  SurfaceSamples samples;
  const auto size = static_cast<Eigen::Index>(count);
  samples.points_mm.resize(3, size);
  samples.normals.resize(3, size);
  samples.triangle.resize(size);
  if (count == 0) return samples;
  const auto triangles = spread_over_triangles(areas_up_to, count, rng.uniform());
  for (Eigen::Index i = 0; i < size; ++i) {
    const Eigen::Index triangle = triangles[static_cast<std::size_t>(i)];
    samples.points_mm.col(i) = point_in_triangle(mesh, triangle, rng);
    samples.normals.col(i) = area_vector(mesh, triangle).normalized();
    samples.triangle[i] = static_cast<int>(triangle);
  }
  return samples;
}

}  // namespace trammel
