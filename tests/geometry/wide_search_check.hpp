#pragma once

/// One check for the search of every vector width: no triangle that is the closest in double
/// precision may be missing from its candidates.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "../../src/geometry/surface_tree.hpp"
#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/closest_on_triangle.hpp"

namespace trammel::test {

inline EdgeTriangle edges_of(const Mesh& mesh, Eigen::Index t) {
  const Eigen::Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, t));
  return {a, mesh.vertices_mm.col(mesh.triangles(1, t)) - a,
          mesh.vertices_mm.col(mesh.triangles(2, t)) - a};
}

/// Triangles of any shape: good ones, needles of height 10⁻¹ … 10⁻¹⁰ of their length, specks,
/// segments and points; some twice.
inline Mesh nasty_soup(int count, Rng rng) {
  Mesh mesh;
  mesh.vertices_mm.resize(3, 3 * count);
  mesh.triangles.resize(3, count);
  for (int t = 0; t < count; ++t) {
    const Eigen::Vector3d a = 40.0 * rng.uniform() * rng.direction();
    const double size_mm = std::pow(10.0, rng.uniform(-5.0, 1.5));
    const Eigen::Vector3d b = a + size_mm * rng.direction();
    const double height = rng.uniform() < 0.5 ? 1.0 : std::pow(10.0, rng.uniform(-10.0, -1.0));
    const Eigen::Vector3d c =
        a + rng.uniform() * (b - a) + height * size_mm * rng.uniform() * rng.direction();
    mesh.vertices_mm.col(3 * t) = a;
    mesh.vertices_mm.col(3 * t + 1) = t % 50 == 7 ? a : b;
    mesh.vertices_mm.col(3 * t + 2) = t % 50 == 7 ? a : c;
    mesh.triangles.col(t) << 3 * t, 3 * t + 1, 3 * t + 2;
    if (t % 20 == 3) mesh.triangles.col(t) = mesh.triangles.col(t - 1);
  }
  return mesh;
}

/// Least distance by every triangle, among those with a normal towards `normal` (all, when zero).
inline double least_distance_mm(const Mesh& mesh, const Eigen::Vector3d& p,
                                const Eigen::Vector3d& normal, double least_cosine) {
  double least = HUGE_VAL;
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    const Eigen::Vector3d up = area_vector(mesh, t);
    if (!normal.isZero() && !(up.norm() > 0.0 && up.dot(normal) >= least_cosine * up.norm()))
      continue;
    least = std::min(least, closest_on_any_triangle(edges_of(mesh, t), p).squared);
  }
  return std::sqrt(least);
}

inline void expect_candidates_hold_the_closest(wide::Search search, const Mesh& mesh, bool filtered,
                                               const std::string& name) {
  const SurfaceTree tree = build_surface_tree(mesh);
  std::vector<wide::Candidate> room(4 * tree.leaves.size() * wide::kLanes);
  Rng rng(8);
  for (int i = 0; i < 200; ++i) {
    const double away = i % 2 == 0 ? std::pow(10.0, rng.uniform(-6.0, 3.0)) : 0.0;
    const auto v =
        static_cast<Eigen::Index>(rng.index(static_cast<std::size_t>(mesh.vertices_mm.cols())));
    const Eigen::Vector3d p = mesh.vertices_mm.col(v) + away * rng.direction();
    const Eigen::Vector3d normal =
        filtered ? Eigen::Vector3d(rng.direction()) : Eigen::Vector3d::Zero();
    const Eigen::Vector3f relative = (p - tree.center_mm).cast<float>();
    const Eigen::Vector3f asked = normal.cast<float>();
    wide::Question question{};
    question.reach = HUGE_VALF;
    question.filtered = question.unit = filtered;
    question.least_cosine = 0.5F;
    for (int k = 0; k < 3; ++k) {
      question.point[k] = relative[k];
      question.normal[k] = asked[k];
    }
    const int count = search(tree.view(), question, room.data(), static_cast<int>(room.size()));
    ASSERT_GE(count, 0) << name;
    double least = HUGE_VAL;
    for (int k = 0; k < count; ++k) {
      const int t = room[static_cast<std::size_t>(k)].triangle;
      const Eigen::Vector3d up = area_vector(mesh, t);
      if (filtered && !(up.norm() > 0.0 && up.dot(normal) >= 0.5 * up.norm())) continue;
      const double distance = std::sqrt(closest_on_any_triangle(edges_of(mesh, t), p).squared);
      EXPECT_LE(static_cast<double>(room[static_cast<std::size_t>(k)].least), distance) << name;
      least = std::min(least, distance);
    }
    // The same triangle by the same function: the same bits.
    EXPECT_EQ(least, least_distance_mm(mesh, p, normal, 0.5)) << name << ", query " << i;
    EXPECT_EQ(search(tree.view(), question, room.data(), count - 1), count > 0 ? -1 : 0)
        << "no room must be said";
  }
}

inline void expect_search_misses_nothing(wide::Search search) {
  for (const bool filtered : {false, true}) {
    expect_candidates_hold_the_closest(search, nasty_soup(3000, Rng(1)), filtered, "soup");
    expect_candidates_hold_the_closest(search, nasty_soup(5, Rng(2)), filtered, "five");
    Mesh far = refined(bracket(), 8.0);
    far.vertices_mm.colwise() += Eigen::Vector3d(5000.0, -5000.0, 5000.0);
    expect_candidates_hold_the_closest(search, far, filtered, "bracket 5 m away");
    Mesh large = refined(housing(), 30.0);
    large.vertices_mm *= 1000.0;
    expect_candidates_hold_the_closest(search, large, filtered, "housing 1000 times as large");
  }
}

}  // namespace trammel::test
