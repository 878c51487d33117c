#include "trammel/geometry/winding.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

void turn(Mesh& mesh, Eigen::Index triangle) {
  std::swap(mesh.triangles(1, triangle), mesh.triangles(2, triangle));
}

void turn_all(Mesh& mesh) {
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t)
    turn(mesh, t);
}

TEST(Winding, OfASphereIsRestoredWhicheverTrianglesWereTurned) {
  const Mesh sphere = test::sphere(10.0, 3);
  for (const double share : {0.01, 0.3, 0.5, 0.9, 1.0}) {
    Mesh muddled = sphere;
    Rng rng(2);
    for (Eigen::Index t = 0; t < muddled.triangles.cols(); ++t) {
      if (rng.uniform() < share) turn(muddled, t);
    }
    const WindingRepair repair = mend_winding(muddled);
    EXPECT_EQ(repair.left_mixed_edges, 0U);
    // A turned triangle that is turned back has its first corner where it was.
    EXPECT_EQ(repair.mesh.triangles, sphere.triangles) << share;
  }
}

TEST(Winding, TurnsTheSmallerPartByAreaNotByCount) {
  Mesh quad;
  quad.vertices_mm.resize(3, 6);
  quad.vertices_mm.transpose() << 0, 0, 0, 10, 0, 0, 0, 10, 0, 10, -0.1, 0, 5, -0.1, 0, 0, -0.1, 0;
  quad.triangles.resize(3, 4);
  // One large triangle, and a strip of three small ones below it that run the other way.
  quad.triangles.transpose() << 0, 1, 2, 0, 1, 4, 1, 3, 4, 0, 4, 5;
  const WindingRepair repair = mend_winding(quad);
  EXPECT_EQ(repair.turned_to_match, 3U);
  EXPECT_GT(area_vector(repair.mesh, 0).z(), 0.0);
  EXPECT_GT(area_vector(repair.mesh, 1).z(), 0.0);
}

TEST(Winding, LeavesACavityAndTurnsAnInsideOutPieceBesideIt) {
  Mesh cavity = test::box({4, 4, 4}, {6, 6, 6});
  turn_all(cavity);
  Mesh beside = test::box({20, 0, 0}, {21, 1, 1});
  turn_all(beside);
  const Mesh both = test::together({test::box({0, 0, 0}, {10, 10, 10}), cavity, beside});
  const WindingRepair repair = mend_winding(both);
  EXPECT_EQ(repair.pieces_turned_out, 1U);
  EXPECT_NEAR(signed_volume_mm3(repair.mesh), 1000.0 - 8.0 + 1.0, 1e-9);
}

TEST(Winding, TurnsANestWhoseEveryPieceIsInsideOutByWhereEachLies) {
  // A box, a cavity in it, and a box in the cavity; all of negative volume. Only the cavity's is so
  // by right.
  Mesh nest = test::together({test::box({0, 0, 0}, {10, 10, 10}), test::box({2, 2, 2}, {8, 8, 8}),
                              test::box({4, 4, 4}, {6, 6, 6})});
  turn_all(nest);
  const WindingRepair repair = mend_winding(nest);
  EXPECT_EQ(repair.pieces_turned_out, 2U);
  EXPECT_NEAR(signed_volume_mm3(repair.mesh), 1000.0 - 216.0 + 8.0, 1e-9);
}

TEST(Winding, OfABoxWithoutALidIsNotTurnedByItsVolume) {
  Mesh open = test::box({0, 0, 0}, {10, 10, 10});
  turn_all(open);
  open.triangles.conservativeResize(3, 10);
  const Eigen::Matrix3Xi before = open.triangles;
  const WindingRepair repair = mend_winding(open);
  EXPECT_EQ(repair.pieces_turned_out, 0U);
  EXPECT_EQ(repair.mesh.triangles, before);
}

TEST(Winding, OfAMoebiusStripIsLeftAndSaid) {
  constexpr int kSteps = 12;
  Mesh strip;
  strip.vertices_mm.resize(3, 2 * kSteps);
  strip.triangles.resize(3, 2 * kSteps);
  for (int i = 0; i < kSteps; ++i) {
    const double turn_rad = 2.0 * M_PI * i / kSteps;
    for (int side = 0; side < 2; ++side) {
      const double reach = 10.0 + (side == 0 ? -1.0 : 1.0) * std::cos(0.5 * turn_rad);
      strip.vertices_mm.col(2 * i + side) << reach * std::cos(turn_rad), reach * std::sin(turn_rad),
          (side == 0 ? -1.0 : 1.0) * std::sin(0.5 * turn_rad);
    }
    const bool last = i + 1 == kSteps;  // the strip closes with its sides exchanged
    const int next_low = last ? 1 : 2 * i + 2, next_high = last ? 0 : 2 * i + 3;
    strip.triangles.col(2 * i) << 2 * i, next_low, 2 * i + 1;
    strip.triangles.col(2 * i + 1) << 2 * i + 1, next_low, next_high;
  }
  EXPECT_GT(mend_winding(strip).left_mixed_edges, 0U);
}

TEST(Winding, KeepsTwoBoxesThatShareOneEdgeClosedAndTurnsTheOneInsideOut) {
  // The shared edge has four triangles, yet each box alone is closed.
  Mesh other = test::box({1, 1, 0}, {2, 2, 1});
  turn_all(other);
  const Mesh pair = test::together({test::box({0, 0, 0}, {1, 1, 1}), other});
  Mesh welded = pair;
  for (Eigen::Index i = 0; i < welded.triangles.size(); ++i) {
    int& corner = welded.triangles.data()[i];
    for (int v = 0; v < corner; ++v) {
      if (welded.vertices_mm.col(v) == welded.vertices_mm.col(corner)) corner = v;
    }
  }
  const WindingRepair repair = mend_winding(welded);
  EXPECT_EQ(repair.pieces_turned_out, 1U);
  EXPECT_NEAR(signed_volume_mm3(repair.mesh), 2.0, 1e-12);
}

}  // namespace
}  // namespace trammel
