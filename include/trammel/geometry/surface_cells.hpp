#pragma once

/// Cuts a surface into small cells and finds the cell of a point on it.

#include <cstddef>
#include <utility>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

[[nodiscard]] bool has_edge_longer_than(double edge_mm, const Mesh& mesh);

/// The triangles of a mesh as they are, each a cell, without `neighbours` and `longest_edge_mm`.
[[nodiscard]] SurfaceCells triangles_as_cells(const Mesh& mesh);

/// Cells and, for each design triangle, the way down to the cell that holds a point.
///
/// Every edge longer than the limit is halved at its middle, longest edge of a triangle first,
/// until none is left. As both triangles of an edge halve it at the same place, cells meet edge to
/// edge.
class CellTree {
  static constexpr std::size_t kMostCells = 1'500'000;

 public:
  /// @param longest_edge_mm  > 0; raised where needed to keep the number of cells near `most_cells`
  explicit CellTree(const Mesh& mesh, double longest_edge_mm, std::size_t most_cells = kMostCells)
      : CellTree(mesh, nullptr, longest_edge_mm, most_cells) {}
  /// Likewise, with neighbours over edges that are known already.
  explicit CellTree(const SurfaceIndex& design, double longest_edge_mm)
      : CellTree(design.mesh(), &design.neighbours(), longest_edge_mm, kMostCells) {}

  [[nodiscard]] const SurfaceCells& cells() const { return cells_; }
  [[nodiscard]] SurfaceCells take_cells() && { return std::move(cells_); }
  /// No triangle was cut: each is a cell.
  [[nodiscard]] bool is_uncut() const {
    return cells_.size() == static_cast<Eigen::Index>(nodes_.size());
  }
  /// Gives the cells rays of their own, for all that will ask for them.
  void make_rays();

  /// The cell of `triangle` that holds a point of it. O(depth).
  /// @param mesh  the mesh that was cut
  [[nodiscard]] int cell_at(const Mesh& mesh, int triangle,
                            const Eigen::Vector3d& on_surface_mm) const;

 private:
  /// A leaf holds its cell in `first`; an inner node cuts edge `edge` of its corners at vertex
  /// `middle`.
  struct Node {
    int first = 0;    ///< cell, or the child that keeps the edge's first corner
    int second = -1;  ///< the child that keeps the edge's second corner; −1 marks a leaf
    int edge = 0;
    int middle = 0;
  };
  class Cutter;
  /// @param known  of the mesh, or null
  CellTree(const Mesh& mesh, const EdgeNeighbours* known, double longest_edge_mm,
           std::size_t most_cells);
  SurfaceCells cells_;
  std::vector<Node> nodes_;  ///< the first #F nodes are the roots, one a design triangle
};

}  // namespace trammel
