#include "trammel/geometry/linked_triangles.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {

using Eigen::Vector3d;

LinkedTriangles::LinkedTriangles(Mesh mesh)
    : mesh_(std::move(mesh)),
      across_(edge_neighbours(mesh_).across),
      count_(static_cast<int>(mesh_.triangles.cols())),
      vertices_(static_cast<int>(mesh_.vertices_mm.cols())) {}

std::array<int, 3> LinkedTriangles::corners(int t) const {
  return {corner(t, 0), corner(t, 1), corner(t, 2)};
}

int LinkedTriangles::longest_side(int t) const {
  return trammel::longest_side(corners(t), [&](int v) { return place(v); });
}

double LinkedTriangles::length2(int t, int side) const {
  return (place(corner(t, side)) - place(corner(t, side + 1))).squaredNorm();
}

Vector3d LinkedTriangles::twice_area(int a, int b, int c) const {
  const Vector3d ab = place(b) - place(a), ac = place(c) - place(a);
  return ab.cross(ac);
}

Vector3d LinkedTriangles::twice_area(int t) const {
  return twice_area(corner(t, 0), corner(t, 1), corner(t, 2));
}

double LinkedTriangles::height_mm(int t) const {
  const double longest = std::sqrt(length2(t, longest_side(t)));
  return longest > 0.0 ? twice_area(t).norm() / longest : 0.0;
}

std::optional<LinkedTriangles::Shared> LinkedTriangles::shared(int t, int side) const {
  const int other = across(t, side);
  if (other < 0) return std::nullopt;
  const int a = corner(t, side), b = corner(t, side + 1);
  for (int k = 0; k < 3; ++k) {
    if (corner(other, k) == b && corner(other, k + 1) == a)
      return Shared{t, side, other, k, a, b, corner(t, side + 2), corner(other, k + 2)};
  }
  return std::nullopt;
}

void LinkedTriangles::swing(const Shared& edge) {
  const auto& [t, side, other, other_side, a, b, c, d] = edge;
  const int beyond_bc = across(t, side + 1), beyond_ca = across(t, side + 2);
  const int beyond_ad = across(other, other_side + 1), beyond_db = across(other, other_side + 2);
  set(t, {a, d, c}, {beyond_ad, other, beyond_ca});
  set(other, {d, b, c}, {beyond_db, beyond_bc, t});
  replace_neighbour(beyond_ad, other, t, a, d);
  replace_neighbour(beyond_bc, t, other, b, c);
}

void LinkedTriangles::halve(const Shared& edge) {
  make_room();
  const auto& [t, side, other, other_side, a, b, c, d] = edge;
  const int beyond_bc = across(t, side + 1), beyond_ca = across(t, side + 2);
  const int beyond_ad = across(other, other_side + 1), beyond_db = across(other, other_side + 2);
  const int middle = vertices_++, near_b = count_, far_b = count_ + 1;
  count_ += 2;
  mesh_.vertices_mm.col(middle) = 0.5 * (place(a) + place(b));
  set(t, {a, middle, c}, {other, near_b, beyond_ca});
  set(other, {middle, a, d}, {t, beyond_ad, far_b});
  set(near_b, {middle, b, c}, {far_b, beyond_bc, t});
  set(far_b, {b, middle, d}, {near_b, other, beyond_db});
  replace_neighbour(beyond_bc, t, near_b, b, c);
  replace_neighbour(beyond_db, other, far_b, d, b);
}

void LinkedTriangles::set(int t, const std::array<int, 3>& corners,
                          const std::array<int, 3>& across) {
  mesh_.triangles.col(t) << corners[0], corners[1], corners[2];
  across_.col(t) << across[0], across[1], across[2];
}

/// By the edge, as two triangles may share two.
void LinkedTriangles::replace_neighbour(int t, int old, int now, int from, int to) {
  if (t < 0) return;
  for (int k = 0; k < 3; ++k) {
    const bool same = (corner(t, k) == to && corner(t, k + 1) == from) ||
                      (corner(t, k) == from && corner(t, k + 1) == to);
    if (same && across_(k, t) == old) across_(k, t) = now;
  }
}

void LinkedTriangles::make_room() {
  if (count_ + 2 > mesh_.triangles.cols()) {
    mesh_.triangles.conservativeResize(3, 2 * count_ + 2);
    across_.conservativeResize(3, 2 * count_ + 2);
  }
  if (vertices_ + 1 > mesh_.vertices_mm.cols())
    mesh_.vertices_mm.conservativeResize(3, 2 * vertices_ + 1);
}

Mesh LinkedTriangles::take_mesh() && {
  mesh_.triangles.conservativeResize(3, count_);
  mesh_.vertices_mm.conservativeResize(3, vertices_);
  return std::move(mesh_);
}

}  // namespace trammel
