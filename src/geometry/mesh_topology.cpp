#include "trammel/geometry/mesh_topology.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// One side of one triangle, filed under its lower vertex.
struct Side {
  int upper;         ///< the higher vertex
  std::uint32_t at;  ///< 4 triangle + edge: half of a cache line holds what a vertex has
};

/// Sides grouped by lower vertex: group v is sides[start[v]] … sides[start[v + 1] − 1].
struct SideBuckets {
  std::vector<std::uint32_t> start;
  std::vector<Side> sides;
};

SideBuckets bucket_sides(const Mesh& mesh) {
  const auto vertex_count = static_cast<std::size_t>(mesh.vertices_mm.cols());
  TRAMMEL_CHECK(mesh.triangles.cols() < Index{1} << 30, "sides of triangles are told by 32 bits");
  SideBuckets out;
  out.start.assign(vertex_count + 2, 0);
  const auto for_each_side = [&](auto&& visit) {
    for (Index t = 0; t < mesh.triangles.cols(); ++t) {
      for (int k = 0; k < 3; ++k) {
        const int u = mesh.triangles(k, t), v = mesh.triangles((k + 1) % 3, t);
        visit(static_cast<std::size_t>(std::min(u, v)),
              Side{std::max(u, v), static_cast<std::uint32_t>(4 * t + k)});
      }
    }
  };
  // Counted two places on, so that filing, which moves each start on, ends where they belong.
  for_each_side([&](std::size_t lower, const Side&) { ++out.start[lower + 2]; });
  for (std::size_t v = 2; v < vertex_count + 2; ++v)
    out.start[v] += out.start[v - 1];
  out.sides = large_vector<Side>(out.start.back());
  for_each_side(
      [&](std::size_t lower, const Side& side) { out.sides[out.start[lower + 1]++] = side; });
  return out;
}

/// The sides of one edge. In any order: what is written is the same.
void link_group(std::vector<Side>::iterator first, std::vector<Side>::iterator last,
                Eigen::Matrix3Xi& across) {
  const auto count = last - first;
  for (auto side = first; side != last; ++side) {
    int& slot = across(side->at % 4, side->at / 4);
    if (count == 1) {
      slot = EdgeNeighbours::kBorder;
    } else if (count == 2) {
      slot = static_cast<int>((side == first ? first + 1 : first)->at / 4);
    } else {
      slot = EdgeNeighbours::kNonManifold;
    }
  }
}

}  // namespace

EdgeNeighbours edge_neighbours(const Mesh& mesh) {
  SideBuckets buckets = bucket_sides(mesh);
  EdgeNeighbours out;
  out.across = large_columns<Eigen::Matrix3Xi>(mesh.triangles.cols());
  for_each_index(static_cast<std::size_t>(mesh.vertices_mm.cols()), [&](std::size_t v) {
    const auto begin = buckets.sides.begin() + static_cast<std::ptrdiff_t>(buckets.start[v]);
    const auto end = buckets.sides.begin() + static_cast<std::ptrdiff_t>(buckets.start[v + 1]);
    std::sort(begin, end, [](const Side& a, const Side& b) { return a.upper < b.upper; });
    for (auto first = begin; first != end;) {
      const auto last =
          std::find_if(first, end, [&](const Side& side) { return side.upper != first->upper; });
      link_group(first, last, out.across);
      first = last;
    }
  });
  return out;
}

Eigen::Matrix3Xd angle_weighted_normals(const Mesh& mesh) {
  const auto triangle_count = static_cast<std::size_t>(mesh.triangles.cols());
  auto angles = large_columns(mesh.triangles.cols()), face = large_columns(mesh.triangles.cols());
  for_each_index(triangle_count, [&](std::size_t i) {
    const auto t = static_cast<Index>(i);
    const Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, t));
    const Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, t));
    const Vector3d c = mesh.vertices_mm.col(mesh.triangles(2, t));
    const Vector3d up = (b - a).cross(c - a);
    const double twice_area = up.norm();  // what every corner's arms span
    const double at_a = std::atan2(twice_area, (b - a).dot(c - a)),
                 at_b = std::atan2(twice_area, (c - b).dot(a - b));
    angles.col(t) << at_a, at_b, kPi - at_a - at_b;
    face.col(t) = up.stableNormalized();
  });
  auto normals = large_columns(mesh.vertices_mm.cols());
  normals.setZero();
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    if (!face.col(t).allFinite()) continue;
    for (int k = 0; k < 3; ++k)
      normals.col(mesh.triangles(k, t)) += angles(k, t) * face.col(t);
  }
  return normals;
}

}  // namespace trammel
