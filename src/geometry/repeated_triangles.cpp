#include "trammel/geometry/repeated_triangles.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <tuple>
#include <utility>

#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

struct Row {
  std::array<int, 3> corners;  ///< ascending
  int triangle;
  bool even;  ///< the triangle runs through its corners in ascending order
};

Row row_of(const Eigen::Matrix3Xi& triangles, Eigen::Index t) {
  const Eigen::Vector3i c = triangles.col(t);
  // Read in a circle, the even orders 012, 120 and 201 fall once; the odd ones fall twice.
  const int falls = (c[0] > c[1] ? 1 : 0) + (c[1] > c[2] ? 1 : 0) + (c[2] > c[0] ? 1 : 0);
  Row row{{c[0], c[1], c[2]}, static_cast<int>(t), falls == 1};
  std::sort(row.corners.begin(), row.corners.end());
  return row;
}

/// By corners, then by number. First by the lowest corner, by counting: few triangles share one.
std::vector<Row> sorted_rows(const Eigen::Matrix3Xi& triangles, Eigen::Index vertex_count) {
  std::vector<std::size_t> start(static_cast<std::size_t>(vertex_count) + 1, 0);
  const auto lowest = [&](Eigen::Index t) {
    return static_cast<std::size_t>(triangles.col(t).minCoeff());
  };
  for (Eigen::Index t = 0; t < triangles.cols(); ++t)
    ++start[lowest(t) + 1];
  std::partial_sum(start.begin(), start.end(), start.begin());
  auto rows = large_vector<Row>(static_cast<std::size_t>(triangles.cols()));
  std::vector<std::size_t> next(start.begin(), start.end() - 1);
  for (Eigen::Index t = 0; t < triangles.cols(); ++t)
    rows[next[lowest(t)]++] = row_of(triangles, t);
  for_each_index(static_cast<std::size_t>(vertex_count), [&](std::size_t vertex) {
    const auto at = [&](std::size_t i) { return rows.begin() + static_cast<std::ptrdiff_t>(i); };
    std::sort(at(start[vertex]), at(start[vertex + 1]), [](const Row& a, const Row& b) {
      const auto &p = a.corners, &q = b.corners;
      return std::tie(p[1], p[2], a.triangle) < std::tie(q[1], q[2], b.triangle);
    });
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
  const std::vector<Row> rows = sorted_rows(triangles, vertex_count);
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
