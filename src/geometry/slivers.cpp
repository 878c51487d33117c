#include "trammel/geometry/slivers.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

double side_length_mm(const Mesh& mesh, int triangle, int side) {
  return (mesh.vertices_mm.col(mesh.triangles((side + 1) % 3, triangle)) -
          mesh.vertices_mm.col(mesh.triangles(side, triangle)))
      .norm();
}

int longest_side(const Mesh& mesh, int triangle) {
  int longest = 0;
  for (int side = 1; side < 3; ++side) {
    if (side_length_mm(mesh, triangle, side) > side_length_mm(mesh, triangle, longest)) {
      longest = side;
    }
  }
  return longest;
}

/// Swings edges of a mesh and keeps its neighbours up to date.
class Swinger {
 public:
  Swinger(Mesh& mesh, double tolerance_mm)
      : mesh_(mesh),
        tolerance_mm_(tolerance_mm),
        uses_(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols())),
        neighbours_(edge_neighbours(mesh).across) {}

  /// True when the flat triangle `t` took half of its neighbour.
  bool swing(int t) {
    const int side = longest_side(mesh_, t);
    const int u = neighbours_(side, t);
    if (u < 0 || height_mm(mesh_, u) <= tolerance_mm_ || !is_cap(t, side)) return false;
    const int a = mesh_.triangles(side, t), b = mesh_.triangles((side + 1) % 3, t);
    const int c = mesh_.triangles((side + 2) % 3, t);
    const int other_side = side_between(u, b, a);
    if (other_side < 0) return false;  // wound against each other
    const int d = mesh_.triangles((other_side + 2) % 3, u);
    if (d == c || edge_exists(c, d)) return false;
    const int beyond_bc = neighbours_((side + 1) % 3, t),
              beyond_ca = neighbours_((side + 2) % 3, t);
    const int beyond_ad = neighbours_((other_side + 1) % 3, u);
    const int beyond_db = neighbours_((other_side + 2) % 3, u);
    mesh_.triangles.col(t) << a, d, c;
    neighbours_.col(t) << beyond_ad, u, beyond_ca;
    mesh_.triangles.col(u) << d, b, c;
    neighbours_.col(u) << beyond_db, beyond_bc, t;
    replace_neighbour(beyond_ad, d, a, t);
    replace_neighbour(beyond_bc, c, b, u);
    added_.insert(std::minmax(c, d));
    return true;
  }

 private:
  /// The third corner lies within the longest side, not at one of its ends.
  [[nodiscard]] bool is_cap(int t, int longest) const {
    return side_length_mm(mesh_, t, (longest + 1) % 3) > tolerance_mm_ &&
           side_length_mm(mesh_, t, (longest + 2) % 3) > tolerance_mm_;
  }

  /// The side of `t` that runs from one vertex to the other, or −1.
  [[nodiscard]] int side_between(int t, int from, int to) const {
    for (int k = 0; k < 3; ++k) {
      if (mesh_.triangles(k, t) == from && mesh_.triangles((k + 1) % 3, t) == to) return k;
    }
    return -1;
  }

  void replace_neighbour(int t, int from, int to, int neighbour) {
    if (t < 0) return;
    int side = side_between(t, from, to);
    if (side < 0) side = side_between(t, to, from);
    neighbours_(side, t) = neighbour;
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

  Mesh& mesh_;
  double tolerance_mm_;
  std::vector<EdgeUse> uses_;
  Eigen::Matrix3Xi neighbours_;
  std::set<std::pair<int, int>> added_;
};

}  // namespace

double height_mm(const Mesh& mesh, int triangle) {
  const double longest = side_length_mm(mesh, triangle, longest_side(mesh, triangle));
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
  if (!waiting.empty()) {
    Swinger swinger(mesh, tolerance_mm);
    // Each pass frees the neighbours of those it swung; a chain of n flat triangles takes n passes.
    for (bool moved = true; moved;) {
      moved = false;
      std::vector<int> still_flat;
      for (const int t : waiting) {
        if (swinger.swing(t)) {
          moved = true;
          ++result.swung;
        }
        if (height_mm(mesh, t) <= tolerance_mm) still_flat.push_back(t);
      }
      waiting = std::move(still_flat);
    }
  }
  result.mesh = std::move(mesh);
  return result;
}

}  // namespace trammel
