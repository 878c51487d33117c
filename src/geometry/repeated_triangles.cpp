#include "trammel/geometry/repeated_triangles.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

struct Row {
  std::array<int, 3> corners;  ///< ascending
  int triangle;
  bool even;  ///< the triangle runs through its corners in ascending order
};

std::vector<Row> sorted_rows(const Eigen::Matrix3Xi& triangles) {
  std::vector<Row> rows(static_cast<std::size_t>(triangles.cols()));
  for (std::size_t t = 0; t < rows.size(); ++t) {
    const Eigen::Vector3i c = triangles.col(static_cast<Eigen::Index>(t));
    Row& row = rows[t];
    // Read in a circle, the even orders 012, 120 and 201 fall once; the odd ones fall twice.
    const int falls = (c[0] > c[1] ? 1 : 0) + (c[1] > c[2] ? 1 : 0) + (c[2] > c[0] ? 1 : 0);
    row = {{c[0], c[1], c[2]}, static_cast<int>(t), falls == 1};
    std::sort(row.corners.begin(), row.corners.end());
  }
  std::sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return a.corners != b.corners ? a.corners < b.corners : a.triangle < b.triangle;
  });
  return rows;
}

/// Sides of the mesh by edge, to ask how many triangles an edge has.
class EdgeCrowd {
 public:
  EdgeCrowd(const Eigen::Matrix3Xi& triangles, Eigen::Index vertex_count)
      : uses_(sorted_edge_uses(triangles, vertex_count)) {}

  [[nodiscard]] std::size_t count(int low, int high) const {
    const auto before = [](const EdgeUse& use, const std::pair<int, int>& edge) {
      return std::make_pair(use.low, use.high) < edge;
    };
    const auto after = [](const std::pair<int, int>& edge, const EdgeUse& use) {
      return edge < std::make_pair(use.low, use.high);
    };
    const auto edge = std::make_pair(low, high);
    return static_cast<std::size_t>(std::upper_bound(uses_.begin(), uses_.end(), edge, after) -
                                    std::lower_bound(uses_.begin(), uses_.end(), edge, before));
  }

 private:
  std::vector<EdgeUse> uses_;
};

}  // namespace

std::vector<bool> without_repeated(const Eigen::Matrix3Xi& triangles, Eigen::Index vertex_count) {
  std::vector<bool> keep(static_cast<std::size_t>(triangles.cols()), true);
  const std::vector<Row> rows = sorted_rows(triangles);
  std::vector<std::pair<const Row*, std::size_t>> walls;  // first of its group, size of the group
  std::size_t in_walls = 0;
  for (std::size_t first = 0; first < rows.size();) {
    std::size_t last = first + 1, even = rows[first].even ? 1 : 0;
    for (; last < rows.size() && rows[last].corners == rows[first].corners; ++last) {
      keep[static_cast<std::size_t>(rows[last].triangle)] = false;
      even += rows[last].even ? 1U : 0U;
    }
    if (2 * even == last - first) {
      walls.emplace_back(&rows[first], last - first);
      in_walls += last - first;
    }
    first = last;
  }
  if (walls.empty() || 2 * in_walls > rows.size()) return keep;

  const EdgeCrowd crowd(triangles, vertex_count);
  for (const auto& [row, size] : walls) {
    const auto& [a, b, c] = row->corners;
    const bool tears = crowd.count(a, b) == size + 1 || crowd.count(b, c) == size + 1 ||
                       crowd.count(a, c) == size + 1;
    if (!tears) keep[static_cast<std::size_t>(row->triangle)] = false;
  }
  return keep;
}

}  // namespace trammel
