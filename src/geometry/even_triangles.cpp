#include "trammel/geometry/even_triangles.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <optional>
#include <tuple>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kOffPlane = 1e-7;  // of the diagonal, from the plane of a face
constexpr double kSameSide = 0.5;   // cosine: a folded sliver is not of the face it lies in
constexpr double kThin = 0.3;       // height over the longest edge
constexpr double kDelaunay = 1e-9;  // of the two cotangents: equal ones are not swung to and fro
constexpr int kFewest = 3;          // triangles of a face that is worth it

std::size_t at(int index) {
  return static_cast<std::size_t>(index);
}

/// Height far below the longest edge, and that edge longer than the limit.
bool is_long_and_thin(double longest2, double twice_area, double limit_mm) {
  return longest2 > limit_mm * limit_mm && twice_area < kThin * longest2;
}

/// What spares most meshes the rest: those of many small triangles among them.
bool has_needles(const Mesh& mesh, double limit_mm) {
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    double longest2 = 0.0;
    for (Index k = 0; k < 3; ++k) {
      const Vector3d edge = mesh.vertices_mm.col(mesh.triangles((k + 1) % 3, t)) -
                            mesh.vertices_mm.col(mesh.triangles(k, t));
      longest2 = std::max(longest2, edge.squaredNorm());
    }
    if (is_long_and_thin(longest2, area_vector(mesh, t).norm(), limit_mm)) return true;
  }
  return false;
}

/// A mesh that is taken apart and put together, with the neighbours of its triangles.
class Evener {
 public:
  Evener(const Mesh& mesh, double longest_edge_mm) : limit_mm_(longest_edge_mm) {
    const Eigen::Matrix3Xi across = edge_neighbours(mesh).across;
    for (Index v = 0; v < mesh.vertices_mm.cols(); ++v)
      vertices_.emplace_back(mesh.vertices_mm.col(v));
    for (Index t = 0; t < mesh.triangles.cols(); ++t) {
      corners_.push_back({mesh.triangles(0, t), mesh.triangles(1, t), mesh.triangles(2, t)});
      across_.push_back({across(0, t), across(1, t), across(2, t)});
    }
    find_faces(kOffPlane * bounding_box(mesh.vertices_mm).diagonal_mm());
    const double cell_mm2 = 0.25 * limit_mm_ * limit_mm_;
    most_triangles_ =
        2 * corners_.size() + static_cast<std::size_t>(surface_area_mm2(mesh) / cell_mm2);
  }

  /// False where there is nothing to do.
  bool run() {
    std::vector<int> waiting;
    for (int t = static_cast<int>(corners_.size()) - 1; t >= 0; --t)
      if (is_needle(t)) waiting.push_back(t);
    if (waiting.empty()) return false;
    while (!waiting.empty()) {
      const int t = waiting.back();
      waiting.pop_back();
      while (corners_.size() < most_triangles_ && is_needle(t) && halve_longest_beyond(t)) {
        for (const int other : changed_)
          if (other != t && is_needle(other)) waiting.push_back(other);
      }
    }
    return true;
  }

  [[nodiscard]] Mesh mesh(const std::string& name) const {
    Mesh out;
    out.name = name;
    out.vertices_mm.resize(3, static_cast<Index>(vertices_.size()));
    out.triangles.resize(3, static_cast<Index>(corners_.size()));
    for (std::size_t v = 0; v < vertices_.size(); ++v)
      out.vertices_mm.col(static_cast<Index>(v)) = vertices_[v];
    for (std::size_t t = 0; t < corners_.size(); ++t)
      out.triangles.col(static_cast<Index>(t)) << corners_[t][0], corners_[t][1], corners_[t][2];
    return out;
  }

 private:
  /// An edge of a triangle and the same edge of its neighbour.
  struct Shared {
    int t, side, other, other_side;
  };

  [[nodiscard]] int corner(int t, int k) const { return corners_[at(t)][at(k % 3)]; }
  [[nodiscard]] const Vector3d& place(int v) const { return vertices_[at(v)]; }
  [[nodiscard]] double length2(int t, int side) const {
    return (place(corner(t, side)) - place(corner(t, side + 1))).squaredNorm();
  }
  [[nodiscard]] Vector3d twice_area(int a, int b, int c) const {
    return (place(b) - place(a)).cross(place(c) - place(a));
  }
  [[nodiscard]] Vector3d twice_area(int t) const {
    return twice_area(corner(t, 0), corner(t, 1), corner(t, 2));
  }

  /// Equal lengths are settled by the vertices, so that both triangles of an edge agree.
  [[nodiscard]] int longest_side(int t) const {
    const auto rank = [&](int side) {
      const auto pair = std::minmax(corner(t, side), corner(t, side + 1));
      return std::make_tuple(length2(t, side), pair.first, pair.second);
    };
    int longest = 0;
    for (int side = 1; side < 3; ++side)
      if (rank(side) > rank(longest)) longest = side;
    return longest;
  }

  [[nodiscard]] bool is_needle(int t) const {
    if (face_[at(t)] < 0) return false;
    return is_long_and_thin(length2(t, longest_side(t)), twice_area(t).norm(), limit_mm_);
  }

  /// Nothing at a border, where three triangles meet, or where the neighbour is wound the other
  /// way.
  [[nodiscard]] std::optional<Shared> shared(int t, int side) const {
    const int other = across_[at(t)][at(side)];
    if (other < 0) return std::nullopt;
    for (int k = 0; k < 3; ++k) {
      if (corner(other, k) == corner(t, side + 1) && corner(other, k + 1) == corner(t, side))
        return Shared{t, side, other, k};
    }
    return std::nullopt;
  }

  /// Grows each face from its best-shaped triangle, whose plane the corners of all must lie in.
  void find_faces(double tolerance_mm) {
    face_.assign(corners_.size(), -1);
    std::vector<double> height(corners_.size());
    for (std::size_t t = 0; t < corners_.size(); ++t) {
      const int i = static_cast<int>(t);
      const double longest2 = length2(i, longest_side(i));
      height[t] = longest2 > 0.0 ? twice_area(i).norm() / std::sqrt(longest2) : 0.0;
    }
    std::vector<int> order(corners_.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](int a, int b) { return height[at(a)] > height[at(b)]; });
    for (const int seed : order) {
      if (face_[at(seed)] != -1 || height[at(seed)] <= tolerance_mm) continue;
      const std::vector<int> members = grown_from(seed, tolerance_mm);
      if (static_cast<int>(members.size()) >= kFewest) continue;
      for (const int t : members)
        face_[at(t)] = kTooSmall;
    }
    std::replace(face_.begin(), face_.end(), kTooSmall, -1);
  }

  std::vector<int> grown_from(int seed, double tolerance_mm) {
    const Vector3d normal = twice_area(seed).normalized();
    const double level = normal.dot(place(corner(seed, 0)));
    normals_.push_back(normal);
    std::vector<int> members = {seed};
    face_[at(seed)] = static_cast<int>(normals_.size()) - 1;
    for (std::size_t next = 0; next < members.size(); ++next) {
      for (int side = 0; side < 3; ++side) {
        const auto edge = shared(members[next], side);
        if (!edge || face_[at(edge->other)] != -1) continue;
        const Vector3d up = twice_area(edge->other);
        const double off_mm = normal.dot(place(corner(edge->other, edge->other_side + 2))) - level;
        if (std::abs(off_mm) > tolerance_mm || up.dot(normal) <= kSameSide * up.norm()) continue;
        face_[at(edge->other)] = face_[at(seed)];
        members.push_back(edge->other);
      }
    }
    return members;
  }

  /// Goes from longest edge to longest edge until two triangles agree on one, and halves it.
  bool halve_longest_beyond(int t) {
    for (;;) {
      const auto edge = shared(t, longest_side(t));
      if (!edge) return false;
      if (longest_side(edge->other) == edge->other_side) {
        halve(*edge);
        return true;
      }
      t = edge->other;
    }
  }

  void halve(const Shared& edge) {
    const int a = corner(edge.t, edge.side), b = corner(edge.t, edge.side + 1);
    const int c = corner(edge.t, edge.side + 2), d = corner(edge.other, edge.other_side + 2);
    const int middle = static_cast<int>(vertices_.size());
    vertices_.emplace_back(0.5 * (place(a) + place(b)));
    const int beyond_bc = across_[at(edge.t)][at((edge.side + 1) % 3)];
    const int beyond_ca = across_[at(edge.t)][at((edge.side + 2) % 3)];
    const int beyond_ad = across_[at(edge.other)][at((edge.other_side + 1) % 3)];
    const int beyond_db = across_[at(edge.other)][at((edge.other_side + 2) % 3)];
    const int near_b = static_cast<int>(corners_.size()), far_b = near_b + 1;
    set(edge.t, {a, middle, c}, {edge.other, near_b, beyond_ca});
    set(edge.other, {middle, a, d}, {edge.t, beyond_ad, far_b});
    add({middle, b, c}, {far_b, beyond_bc, edge.t}, face_[at(edge.t)]);
    add({b, middle, d}, {near_b, edge.other, beyond_db}, face_[at(edge.other)]);
    replace_neighbour(beyond_bc, edge.t, near_b, b, c);
    replace_neighbour(beyond_db, edge.other, far_b, d, b);
    changed_ = {edge.t, edge.other, near_b, far_b};
    make_delaunay({{edge.t, 2}, {edge.other, 1}, {near_b, 1}, {far_b, 2}});
  }

  void set(int t, const std::array<int, 3>& corners, const std::array<int, 3>& across) {
    corners_[at(t)] = corners;
    across_[at(t)] = across;
  }

  void add(const std::array<int, 3>& corners, const std::array<int, 3>& across, int face) {
    corners_.push_back(corners);
    across_.push_back(across);
    face_.push_back(face);
  }

  /// By the edge, as two triangles may share two.
  void replace_neighbour(int t, int old, int now, int from, int to) {
    if (t < 0) return;
    for (int k = 0; k < 3; ++k) {
      const bool same = (corner(t, k) == to && corner(t, k + 1) == from) ||
                        (corner(t, k) == from && corner(t, k + 1) == to);
      if (same && across_[at(t)][at(k)] == old) across_[at(t)][at(k)] = now;
    }
  }

  /// Swings edges until all that may have become wrong are right.
  void make_delaunay(std::vector<std::pair<int, int>> edges) {
    while (!edges.empty()) {
      const auto [t, side] = edges.back();
      edges.pop_back();
      const auto edge = shared(t, side);
      if (!edge || !should_swing(*edge)) continue;
      swing(*edge);
      changed_.push_back(edge->t);
      changed_.push_back(edge->other);
      for (const int swung : {edge->t, edge->other})
        for (int k = 0; k < 3; ++k)
          if (across_[at(swung)][at(k)] != (swung == edge->t ? edge->other : edge->t))
            edges.emplace_back(swung, k);
    }
  }

  /// Opposite angles of more than 180° together, within one flat face and a convex quadrangle.
  [[nodiscard]] bool should_swing(const Shared& edge) const {
    const int face = face_[at(edge.t)];
    if (face < 0 || face_[at(edge.other)] != face) return false;
    const Vector3d& normal = normals_[at(face)];
    const int a = corner(edge.t, edge.side), b = corner(edge.t, edge.side + 1);
    const int c = corner(edge.t, edge.side + 2), d = corner(edge.other, edge.other_side + 2);
    const double area_c = twice_area(a, b, c).dot(normal), area_d = twice_area(b, a, d).dot(normal);
    const double least = kDelaunay * length2(edge.t, edge.side);
    if (c == d || twice_area(a, d, c).dot(normal) <= least ||
        twice_area(d, b, c).dot(normal) <= least)
      return false;
    if (area_c <= least || area_d <= least) return true;  // flat itself
    const double cot_c = (place(a) - place(c)).dot(place(b) - place(c)) / area_c;
    const double cot_d = (place(a) - place(d)).dot(place(b) - place(d)) / area_d;
    return cot_c + cot_d < -kDelaunay;
  }

  /// abc and bad become adc and dbc.
  void swing(const Shared& edge) {
    const int a = corner(edge.t, edge.side), b = corner(edge.t, edge.side + 1);
    const int c = corner(edge.t, edge.side + 2), d = corner(edge.other, edge.other_side + 2);
    const int beyond_bc = across_[at(edge.t)][at((edge.side + 1) % 3)];
    const int beyond_ca = across_[at(edge.t)][at((edge.side + 2) % 3)];
    const int beyond_ad = across_[at(edge.other)][at((edge.other_side + 1) % 3)];
    const int beyond_db = across_[at(edge.other)][at((edge.other_side + 2) % 3)];
    set(edge.t, {a, d, c}, {beyond_ad, edge.other, beyond_ca});
    set(edge.other, {d, b, c}, {beyond_db, beyond_bc, edge.t});
    replace_neighbour(beyond_ad, edge.other, edge.t, a, d);
    replace_neighbour(beyond_bc, edge.t, edge.other, b, c);
  }

  static constexpr int kTooSmall = -2;
  double limit_mm_;
  std::size_t most_triangles_ = 0;
  std::vector<Vector3d> vertices_;
  std::vector<std::array<int, 3>> corners_, across_;
  std::vector<int> face_;          ///< of each triangle, −1 in none
  std::vector<Vector3d> normals_;  ///< of each face
  std::vector<int> changed_;       ///< by the last halving
};

}  // namespace

Mesh even_triangles(Mesh mesh, double longest_edge_mm) {
  TRAMMEL_CHECK(longest_edge_mm > 0.0, "even triangles need an edge length");
  if (!has_needles(mesh, longest_edge_mm)) return mesh;
  Evener evener(mesh, longest_edge_mm);
  return evener.run() ? evener.mesh(mesh.name) : mesh;
}

}  // namespace trammel
