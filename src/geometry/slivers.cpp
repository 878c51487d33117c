#include "trammel/geometry/slivers.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/linked_triangles.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

/// Swings flat triangles away.
class Swinger {
 public:
  Swinger(Mesh mesh, double tolerance_mm)
      : tolerance_mm_(tolerance_mm),
        uses_(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols())),
        links_(std::move(mesh)) {}

  [[nodiscard]] bool is_flat(int t) const { return links_.height_mm(t) <= tolerance_mm_; }

  /// True when the flat triangle `t` took half of its neighbour.
  bool swing(int t) {
    const int side = links_.longest_side(t);
    const auto edge = links_.shared(t, side);
    if (!edge || is_flat(edge->other) || !is_cap(t, side)) return false;
    if (edge->d == edge->c || edge_exists(edge->c, edge->d)) return false;
    links_.swing(*edge);
    added_.insert(std::minmax({edge->c, edge->d}));
    return true;
  }

  [[nodiscard]] Mesh take_mesh() && { return std::move(links_).take_mesh(); }

 private:
  /// The third corner lies within the longest side, not at one of its ends.
  [[nodiscard]] bool is_cap(int t, int longest) const {
    return std::sqrt(links_.length2(t, longest + 1)) > tolerance_mm_ &&
           std::sqrt(links_.length2(t, longest + 2)) > tolerance_mm_;
  }

  [[nodiscard]] bool edge_exists(int a, int b) const {
    const std::pair<int, int> edge = std::minmax(a, b);
    if (added_.count(edge) > 0) return true;
    const auto use = std::lower_bound(uses_.begin(), uses_.end(), edge,
                                      [](const EdgeUse& x, const std::pair<int, int>& y) {
                                        return std::make_pair(x.low, x.high) < y;
                                      });
    return use != uses_.end() && use->low == edge.first && use->high == edge.second;
  }

  double tolerance_mm_;
  std::vector<EdgeUse> uses_;
  LinkedTriangles links_;
  std::set<std::pair<int, int>> added_;
};

}  // namespace

double height_mm(const Mesh& mesh, int triangle) {
  const std::array<int, 3> corners = {mesh.triangles(0, triangle), mesh.triangles(1, triangle),
                                      mesh.triangles(2, triangle)};
  const auto place = [&](int v) { return mesh.vertices_mm.col(v); };
  const auto side = static_cast<std::size_t>(longest_side(corners, place));
  const double longest = (place(corners[(side + 1) % 3]) - place(corners[side])).norm();
  return longest > 0.0 ? area_vector(mesh, triangle).norm() / longest : 0.0;
}

std::vector<int> flat_triangles(const Mesh& mesh, double tolerance_mm) {
  const auto count = static_cast<std::size_t>(mesh.triangles.cols());
  std::vector<char> is_flat(count);
  for_each_index(count, [&](std::size_t t) {
    is_flat[t] = height_mm(mesh, static_cast<int>(t)) <= tolerance_mm ? 1 : 0;
  });
  std::vector<int> flat;
  for (std::size_t t = 0; t < count; ++t) {
    if (is_flat[t] != 0) flat.push_back(static_cast<int>(t));
  }
  return flat;
}

SwungMesh swing_flat_triangles(Mesh mesh, double tolerance_mm) {
  SwungMesh result;
  std::vector<int> waiting = flat_triangles(mesh, tolerance_mm);
  if (waiting.empty()) {
    result.mesh = std::move(mesh);
    return result;
  }
  Swinger swinger(std::move(mesh), tolerance_mm);
  // Each pass frees the neighbours of those it swung; a chain of n flat triangles takes n passes.
  for (bool moved = true; moved;) {
    moved = false;
    std::vector<int> still_flat;
    for (const int t : waiting) {
      if (swinger.swing(t)) {
        moved = true;
        ++result.swung;
      }
      if (swinger.is_flat(t)) still_flat.push_back(t);
    }
    waiting = std::move(still_flat);
  }
  result.mesh = std::move(swinger).take_mesh();
  return result;
}

}  // namespace trammel
