#include "trammel/geometry/even_triangles.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/geometry/linked_triangles.hpp"

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

/// The height is far below the longest edge, and that edge longer than the limit.
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

class Evener {
 public:
  using Shared = LinkedTriangles::Shared;

  Evener(Mesh mesh, double longest_edge_mm)
      : limit_mm_(longest_edge_mm),
        flat_mm_(kOffPlane * bounding_box(mesh.vertices_mm).diagonal_mm()),
        most_(2.0 * static_cast<double>(mesh.triangles.cols()) +
              surface_area_mm2(mesh) / (0.25 * longest_edge_mm * longest_edge_mm)),
        links_(std::move(mesh)) {
    find_faces();
  }

  void run() {
    std::vector<int> waiting;
    for (int t = links_.count() - 1; t >= 0; --t)
      if (is_needle(t)) waiting.push_back(t);
    while (!waiting.empty()) {
      const int t = waiting.back();
      waiting.pop_back();
      while (links_.count() < most_ && is_needle(t) && halve_longest_beyond(t)) {
        for (const int other : changed_)
          if (other != t && is_needle(other)) waiting.push_back(other);
      }
    }
  }

  [[nodiscard]] Mesh take_mesh() && { return std::move(links_).take_mesh(); }

 private:
  [[nodiscard]] bool is_needle(int t) const {
    return face_[at(t)] >= 0 && is_long_and_thin(links_.length2(t, links_.longest_side(t)),
                                                 links_.twice_area(t).norm(), limit_mm_);
  }

  /// Grows each face from its best-shaped triangle, whose plane the corners of all must lie in.
  void find_faces() {
    std::vector<double> height;
    for (int t = 0; t < links_.count(); ++t)
      height.push_back(links_.height_mm(t));
    std::vector<int> order(height.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](int a, int b) { return height[at(a)] > height[at(b)]; });
    face_.assign(height.size(), kOpen);
    for (const int seed : order) {
      if (face_[at(seed)] != kOpen || height[at(seed)] <= flat_mm_) continue;
      const std::vector<int> members = grown_from(seed);
      if (static_cast<int>(members.size()) >= kFewest) continue;
      for (const int t : members)
        face_[at(t)] = kTooSmall;
    }
  }

  std::vector<int> grown_from(int seed) {
    const Vector3d normal = links_.twice_area(seed).normalized();
    const double level = normal.dot(links_.place(links_.corner(seed, 0)));
    const int face = static_cast<int>(normals_.size());
    normals_.push_back(normal);
    std::vector<int> members = {seed};
    face_[at(seed)] = face;
    for (std::size_t next = 0; next < members.size(); ++next) {
      for (int side = 0; side < 3; ++side) {
        const auto edge = links_.shared(members[next], side);
        if (!edge || face_[at(edge->other)] != kOpen) continue;
        const Vector3d up = links_.twice_area(edge->other);
        const double off_mm = normal.dot(links_.place(edge->d)) - level;
        if (std::abs(off_mm) > flat_mm_ || up.dot(normal) <= kSameSide * up.norm()) continue;
        face_[at(edge->other)] = face;
        members.push_back(edge->other);
      }
    }
    return members;
  }

  /// Goes from longest edge to longest edge until two triangles agree on one, and halves it.
  bool halve_longest_beyond(int t) {
    for (;;) {
      const auto edge = links_.shared(t, links_.longest_side(t));
      if (!edge) return false;
      if (links_.longest_side(edge->other) == edge->other_side) {
        halve(*edge);
        return true;
      }
      t = edge->other;
    }
  }

  void halve(const Shared& edge) {
    const int near_b = links_.count(), far_b = near_b + 1;
    links_.halve(edge);
    face_.push_back(face_[at(edge.t)]);
    face_.push_back(face_[at(edge.other)]);
    changed_ = {edge.t, edge.other, near_b, far_b};
    make_delaunay({{edge.t, 2}, {edge.other, 1}, {near_b, 1}, {far_b, 2}});
  }

  /// Swings edges until all that may have become wrong are right.
  void make_delaunay(std::vector<std::pair<int, int>> edges) {
    while (!edges.empty()) {
      const auto [t, side] = edges.back();
      edges.pop_back();
      const auto edge = links_.shared(t, side);
      if (!edge || !should_swing(*edge)) continue;
      links_.swing(*edge);
      for (const auto& [swung, beside] :
           {std::pair(edge->t, edge->other), {edge->other, edge->t}}) {
        changed_.push_back(swung);
        for (int k = 0; k < 3; ++k) {
          const auto outer = links_.shared(swung, k);
          if (outer && outer->other != beside) edges.emplace_back(swung, k);
        }
      }
    }
  }

  /// Opposite angles of more than 180° together, within one flat face and a convex quadrangle.
  [[nodiscard]] bool should_swing(const Shared& edge) const {
    const int face = face_[at(edge.t)];
    if (face < 0 || face_[at(edge.other)] != face || edge.c == edge.d) return false;
    const auto area = [&](int a, int b, int c) {
      return links_.twice_area(a, b, c).dot(normals_[at(face)]);
    };
    const int a = edge.a, b = edge.b, c = edge.c, d = edge.d;
    const double least = kDelaunay * links_.length2(edge.t, edge.side);
    if (area(a, d, c) <= least || area(d, b, c) <= least) return false;
    const double area_c = area(a, b, c), area_d = area(b, a, d);
    if (area_c <= least || area_d <= least) return true;  // flat itself
    const auto cotangent = [&](int apex, double twice_area) {
      const Vector3d to_a = links_.place(a) - links_.place(apex);
      return to_a.dot(links_.place(b) - links_.place(apex)) / twice_area;
    };
    return cotangent(c, area_c) + cotangent(d, area_d) < -kDelaunay;
  }

  static constexpr int kOpen = -1, kTooSmall = -2;
  double limit_mm_, flat_mm_;
  double most_;  ///< triangles
  LinkedTriangles links_;
  std::vector<int> face_;          ///< of each triangle; below 0 in none
  std::vector<Vector3d> normals_;  ///< of each face
  std::vector<int> changed_;       ///< by the last halving
};

}  // namespace

Mesh even_triangles(Mesh mesh, double longest_edge_mm) {
  TRAMMEL_CHECK(longest_edge_mm > 0.0, "even triangles need an edge length");
  if (!has_needles(mesh, longest_edge_mm)) return mesh;
  Evener evener(std::move(mesh), longest_edge_mm);
  evener.run();
  return std::move(evener).take_mesh();
}

}  // namespace trammel
