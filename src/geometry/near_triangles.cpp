#include "trammel/geometry/near_triangles.hpp"

#include <Eigen/Geometry>
#include <cmath>
#include <cstddef>
#include <unordered_map>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Distance from a point to the axis-aligned box of some points.
template <typename Points>
double distance_to_box(const Vector3d& point, const Points& points) {
  const Vector3d low = points.rowwise().minCoeff();
  const Vector3d high = points.rowwise().maxCoeff();
  return (point - point.cwiseMax(low).cwiseMin(high)).norm();
}

/// The last of six digits of the largest coordinate in two directions: corners are half of that
/// off, and so may be the shape that is fitted to them.
double written_to(const Mesh& mesh) {
  const double largest = mesh.vertices_mm.size() > 0 ? mesh.vertices_mm.cwiseAbs().maxCoeff() : 0.0;
  return largest > 0.0 ? std::sqrt(2.0) * std::pow(10.0, std::floor(std::log10(largest)) - 5.0)
                       : 0.0;
}

Eigen::Matrix3d corners_of(const Mesh& mesh, Eigen::Index triangle) {
  Eigen::Matrix3d corners;
  for (int k = 0; k < 3; ++k)
    corners.col(k) = mesh.vertices_mm.col(mesh.triangles(k, triangle));
  return corners;
}

/// Numbers given out in the order asked for. A list of all vertices for most of a design, a table
/// for the few about one point.
class Renumbering {
 public:
  Renumbering(Eigen::Index all, std::size_t few) {
    if (static_cast<std::size_t>(all) < kDense * few)
      list_.assign(static_cast<std::size_t>(all), kNone);
  }
  /// The number of a vertex; a new one is appended to `vertices`.
  int of(int vertex, std::vector<int>& vertices) {
    int& number = list_.empty() ? table_.try_emplace(vertex, kNone).first->second
                                : list_[static_cast<std::size_t>(vertex)];
    if (number == kNone) {
      number = static_cast<int>(vertices.size());
      vertices.push_back(vertex);
    }
    return number;
  }

 private:
  static constexpr int kNone = -1;
  static constexpr std::size_t kDense = 4;
  std::vector<int> list_;
  std::unordered_map<int, int> table_;  // looked up only, never walked
};

/// The chosen triangles with their vertices renumbered by first use.
Mesh sub_mesh(const Mesh& design, const std::vector<int>& chosen) {
  Renumbering number(design.vertices_mm.cols(), chosen.size());
  std::vector<int> vertices;
  Mesh mesh;
  mesh.triangles.resize(3, static_cast<Eigen::Index>(chosen.size()));
  for (std::size_t f = 0; f < chosen.size(); ++f)
    for (int k = 0; k < 3; ++k)
      mesh.triangles(k, static_cast<Eigen::Index>(f)) =
          number.of(design.triangles(k, chosen[f]), vertices);
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(vertices.size()));
  for (std::size_t v = 0; v < vertices.size(); ++v)
    mesh.vertices_mm.col(static_cast<Eigen::Index>(v)) = design.vertices_mm.col(vertices[v]);
  return mesh;
}

}  // namespace

bool NearTriangles::cut_off(int triangle, int k) const {
  if (whole || across(k, triangle) >= 0) return false;
  Eigen::Matrix<double, 3, 2> edge;
  edge << corner(triangle, k), corner(triangle, (k + 1) % 3);
  // A neighbour's box holds the shared edge, so within the reach it would have been gathered.
  return distance_to_box(center_mm, edge) > reach_mm;
}

TriangleBoxes::TriangleBoxes(const Mesh& design) : design_(design) {
  low_mm_.resize(3, design.triangles.cols());
  high_mm_.resize(3, design.triangles.cols());
  for (Eigen::Index f = 0; f < design.triangles.cols(); ++f) {
    const Eigen::Matrix3d corners = corners_of(design, f);
    low_mm_.col(f) = corners.rowwise().minCoeff();
    high_mm_.col(f) = corners.rowwise().maxCoeff();
  }
}

NearTriangles TriangleBoxes::near(const Vector3d& point_mm, double reach_mm) const {
  NearTriangles near;
  near.center_mm = point_mm;
  near.reach_mm = reach_mm;
  near.whole = true;
  for (Eigen::Index f = 0; f < design_.triangles.cols(); ++f) {
    const Vector3d nearest = point_mm.cwiseMax(low_mm_.col(f)).cwiseMin(high_mm_.col(f));
    if ((point_mm - nearest).norm() > reach_mm) {
      near.whole = false;
    } else if (area_vector(design_, f).squaredNorm() > 0.0) {
      near.origin.push_back(static_cast<int>(f));
    }
  }
  near.mesh = sub_mesh(design_, near.origin);
  near.written_to_mm = written_to(near.mesh);
  near.across = edge_neighbours(near.mesh).across;
  near.normals.resize(3, near.size());
  near.area_mm2.resize(near.size());
  for_each_index(static_cast<std::size_t>(near.size()), [&](std::size_t i) {
    const auto f = static_cast<Eigen::Index>(i);
    const Vector3d twice = area_vector(near.mesh, f);
    near.area_mm2[f] = 0.5 * twice.norm();
    near.normals.col(f) = twice.normalized();
  });
  return near;
}

NearTriangles near_triangles(const Mesh& design, const Vector3d& point_mm, double reach_mm) {
  return TriangleBoxes(design).near(point_mm, reach_mm);
}

}  // namespace trammel
