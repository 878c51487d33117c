#pragma once

/// Triangles that know who is next to them, and keep knowing it while edges are swung and halved.

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// The side of a triangle that is longest: 0 from its first corner to its second, and so on. Equal
/// lengths are settled by the vertices, so that both triangles of an edge agree, whatever corner
/// they begin with.
/// @param place  place(v) is where vertex v lies
template <class Place>
[[nodiscard]] int longest_side(const std::array<int, 3>& corners, const Place& place) {
  const auto corner = [&](int side) { return corners[static_cast<std::size_t>(side % 3)]; };
  const auto length2 = [&](int side) {
    return (place(corner(side)) - place(corner(side + 1))).squaredNorm();
  };
  const auto ends = [&](int side) { return std::minmax({corner(side), corner(side + 1)}); };
  int longest = 0;
  for (int side = 1; side < 3; ++side) {
    const double mine = length2(side), theirs = length2(longest);
    if (mine > theirs || (mine == theirs && ends(side) < ends(longest))) longest = side;
  }
  return longest;
}

class LinkedTriangles {
 public:
  /// @param mesh  welded
  explicit LinkedTriangles(Mesh mesh);

  /// An edge as two triangles have it: abc and bad.
  struct Shared {
    int t, side, other, other_side;
    int a, b, c, d;
  };

  [[nodiscard]] int count() const { return count_; }
  /// @param k  counts on from corner 2 to corner 0
  [[nodiscard]] int corner(int t, int k) const { return mesh_.triangles(k % 3, t); }
  [[nodiscard]] std::array<int, 3> corners(int t) const;
  [[nodiscard]] auto place(int vertex) const { return mesh_.vertices_mm.col(vertex); }
  [[nodiscard]] int longest_side(int t) const;
  /// Of side `side` of t, mm².
  [[nodiscard]] double length2(int t, int side) const;
  /// Twice the area of three corners times the normal they are wound about.
  [[nodiscard]] Eigen::Vector3d twice_area(int a, int b, int c) const;
  /// Of a triangle.
  [[nodiscard]] Eigen::Vector3d twice_area(int t) const;
  /// Height above the longest side, mm; 0 when all corners are at one place.
  [[nodiscard]] double height_mm(int t) const;

  /// Nothing at a border, where three triangles meet, or where the neighbour is wound the other
  /// way.
  [[nodiscard]] std::optional<Shared> shared(int t, int side) const;

  /// abc and bad become adc and dbc.
  void swing(const Shared& edge);

  /// Halves the edge at its middle m, a new vertex: abc becomes amc and mbc, bad becomes mad and
  /// bmd; the second of each is new: triangle count() before the call, and the one after it.
  void halve(const Shared& edge);

  [[nodiscard]] Mesh take_mesh() &&;

 private:
  [[nodiscard]] int across(int t, int side) const { return across_(side % 3, t); }
  void set(int t, const std::array<int, 3>& corners, const std::array<int, 3>& across);
  void replace_neighbour(int t, int old, int now, int from, int to);
  void make_room();

  Mesh mesh_;  ///< with room for more behind the last
  Eigen::Matrix3Xi across_;
  int count_, vertices_;
};

}  // namespace trammel
