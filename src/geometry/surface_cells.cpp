#include "trammel/geometry/surface_cells.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "trammel/base/error.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/linked_triangles.hpp"
#include "trammel/geometry/mesh_topology.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

using Corners = std::array<int, 3>;

/// The two halves of a triangle cut from the middle of an edge to the corner opposite.
std::array<Corners, 2> halves(const Corners& c, int edge, int middle) {
  const auto k = static_cast<std::size_t>(edge);
  const int from = c[k], to = c[(k + 1) % 3], apex = c[(k + 2) % 3];
  return {Corners{from, middle, apex}, Corners{middle, to, apex}};
}

/// A cell of edge h has about 0.35 h² (between the right and the equilateral triangle's).
double edge_for_cell_count(double area_mm2, std::size_t most_cells) {
  return std::sqrt(area_mm2 / (0.35 * static_cast<double>(most_cells)));
}

void measure_cells(SurfaceCells& out) {
  out.center_mm = large_columns(out.size());
  out.normal = large_columns(out.size());
  out.area_mm2.resize(out.size());
  for_each_index(static_cast<std::size_t>(out.size()), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    const Vector3d p = out.vertices_mm.col(out.cells(0, c));
    const Vector3d q = out.vertices_mm.col(out.cells(1, c));
    const Vector3d r = out.vertices_mm.col(out.cells(2, c));
    const Vector3d up = (q - p).cross(r - p);
    out.center_mm.col(c) = (p + q + r) / 3.0;
    out.normal.col(c) = up.stableNormalized();
    out.area_mm2[c] = 0.5 * up.norm();
  });
}

void link_cells(SurfaceCells& out) {
  Mesh mesh{out.vertices_mm, out.cells, {}};
  out.neighbours = edge_neighbours(mesh).across.cwiseMax(-1);
}

}  // namespace

/// Does the cutting; lives only while the tree is built.
class CellTree::Cutter {
 public:
  Cutter(const Mesh& mesh, double longest_edge_mm, std::vector<Node>& nodes)
      : nodes_(nodes), limit2_(longest_edge_mm * longest_edge_mm) {
    for (Index v = 0; v < mesh.vertices_mm.cols(); ++v) {
      vertices_.emplace_back(mesh.vertices_mm.col(v));
    }
  }

  void cut(const Corners& corners, int triangle, int node) {
    const int edge = longest_side(corners, [&](int v) -> const Vector3d& { return place(v); });
    const auto k = static_cast<std::size_t>(edge);
    if ((place(corners[k]) - place(corners[(k + 1) % 3])).squaredNorm() <= limit2_) {
      nodes_[static_cast<std::size_t>(node)].first = static_cast<int>(triangle_.size());
      cells_.push_back(corners);
      triangle_.push_back(triangle);
      return;
    }
    const int middle = middle_of(corners[k], corners[(k + 1) % 3]);
    const int first = static_cast<int>(nodes_.size());
    nodes_.resize(nodes_.size() + 2);
    nodes_[static_cast<std::size_t>(node)] = {first, first + 1, edge, middle};
    const auto parts = halves(corners, edge, middle);
    cut(parts[0], triangle, first);
    cut(parts[1], triangle, first + 1);
  }

  void hand_over(SurfaceCells& out) {
    out.vertices_mm.resize(3, static_cast<Index>(vertices_.size()));
    for (std::size_t v = 0; v < vertices_.size(); ++v) {
      out.vertices_mm.col(static_cast<Index>(v)) = vertices_[v];
    }
    out.cells.resize(3, static_cast<Index>(cells_.size()));
    out.triangle.resize(static_cast<Index>(cells_.size()));
    for (std::size_t c = 0; c < cells_.size(); ++c) {
      const auto i = static_cast<Index>(c);
      out.cells.col(i) << cells_[c][0], cells_[c][1], cells_[c][2];
      out.triangle[i] = triangle_[c];
    }
  }

 private:
  [[nodiscard]] const Vector3d& place(int v) const {
    return vertices_[static_cast<std::size_t>(v)];
  }

  int middle_of(int u, int v) {
    const auto low = static_cast<std::uint64_t>(std::min(u, v));
    const auto high = static_cast<std::uint64_t>(std::max(u, v));
    const auto [at, is_new] =
        middles_.try_emplace(low << 32U | high, static_cast<int>(vertices_.size()));
    if (is_new) {
      vertices_.emplace_back(0.5 * (place(u) + place(v)));
    }
    return at->second;
  }

  std::vector<Node>& nodes_;
  double limit2_;
  std::vector<Vector3d> vertices_;
  std::vector<Corners> cells_;
  std::vector<int> triangle_;
  std::unordered_map<std::uint64_t, int> middles_;
};

bool has_edge_longer_than(double edge_mm, const Mesh& mesh) {
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    const auto corner = [&](int k) { return mesh.vertices_mm.col(mesh.triangles(k % 3, t)); };
    for (int k = 0; k < 3; ++k)
      if ((corner(k) - corner(k + 1)).squaredNorm() > edge_mm * edge_mm) return true;
  }
  return false;
}

SurfaceCells triangles_as_cells(const Mesh& mesh) {
  SurfaceCells out;
  out.vertices_mm = mesh.vertices_mm;
  out.cells = mesh.triangles;
  out.triangle = Eigen::VectorXi::LinSpaced(out.size(), 0, static_cast<int>(out.size()) - 1);
  measure_cells(out);
  return out;
}

CellTree::CellTree(const Mesh& mesh, const EdgeNeighbours* known, double longest_edge_mm,
                   std::size_t most_cells) {
  TRAMMEL_CHECK(longest_edge_mm > 0.0, "cells need an edge length");
  const double edge =
      std::max(longest_edge_mm, edge_for_cell_count(surface_area_mm2(mesh), most_cells));
  nodes_.resize(static_cast<std::size_t>(mesh.triangles.cols()));
  if (has_edge_longer_than(edge, mesh)) {
    Cutter cutter(mesh, edge, nodes_);
    for (Index t = 0; t < mesh.triangles.cols(); ++t) {
      const int i = static_cast<int>(t);
      cutter.cut({mesh.triangles(0, t), mesh.triangles(1, t), mesh.triangles(2, t)}, i, i);
    }
    cutter.hand_over(cells_);
    measure_cells(cells_);
  } else {
    cells_ = triangles_as_cells(mesh);
    for (std::size_t t = 0; t < nodes_.size(); ++t)
      nodes_[t].first = static_cast<int>(t);
  }
  cells_.longest_edge_mm = edge;
  if (known != nullptr && is_uncut())
    cells_.neighbours = known->across.cwiseMax(-1);
  else
    link_cells(cells_);
}

void CellTree::make_rays() {
  cells_.rays = rays_of(cells_);
}

int CellTree::cell_at(const Mesh& mesh, int triangle, const Vector3d& on_surface_mm) const {
  Corners c{mesh.triangles(0, triangle), mesh.triangles(1, triangle), mesh.triangles(2, triangle)};
  const Vector3d up = area_vector(mesh, triangle);
  int at = triangle;
  for (;;) {
    const Node& node = nodes_[static_cast<std::size_t>(at)];
    if (node.second < 0) return node.first;
    const auto parts = halves(c, node.edge, node.middle);
    const Vector3d apex = cells_.vertices_mm.col(parts[0][2]);
    const Vector3d middle = cells_.vertices_mm.col(node.middle);
    // The half with the edge's first corner lies to the left of the way from the middle to the
    // apex.
    const bool in_first = (apex - middle).cross(on_surface_mm - middle).dot(up) >= 0.0;
    at = in_first ? node.first : node.second;
    c = in_first ? parts[0] : parts[1];
  }
}

}  // namespace trammel
