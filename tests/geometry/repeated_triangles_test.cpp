#include "trammel/geometry/repeated_triangles.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/mend.hpp"

namespace trammel {
namespace {

using Keep = std::vector<bool>;

TEST(RepeatedTriangles, OfTheSameWindingLeaveTheFirst) {
  Eigen::Matrix3Xi triangles(3, 4);
  triangles.transpose() << 0, 1, 2, 1, 2, 0, 2, 3, 1, 2, 0, 1;
  EXPECT_EQ(without_repeated(triangles, 4), (Keep{true, false, true, false}));
}

TEST(RepeatedTriangles, OfOppositeWindingGoTogetherWhereTheyAreAFlapOnASolid) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  const Eigen::Matrix3Xi sound = box.triangles;
  const auto tip = static_cast<int>(box.vertices_mm.cols());
  box.vertices_mm.conservativeResize(3, tip + 1);
  box.vertices_mm.col(tip) << -5, -5, -5;
  box.triangles.conservativeResize(3, 14);
  const int a = box.triangles(0, 0), b = box.triangles(1, 0);
  box.triangles.col(12) << a, b, tip;
  box.triangles.col(13) << b, a, tip;
  const MendedMesh mended = mend(box);
  EXPECT_EQ(mended.mesh.triangles, sound);
  EXPECT_TRUE(mended.health.closed);
  EXPECT_EQ(mended.health.repeated_triangles, 2U);
}

TEST(RepeatedTriangles, OfOppositeWindingLeaveOneWhereBothGoneWouldTearAHole) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  box.triangles.conservativeResize(3, 13);
  box.triangles.col(12) << box.triangles(1, 5), box.triangles(0, 5), box.triangles(2, 5);
  EXPECT_EQ(without_repeated(box.triangles, 8), [] {
    Keep keep(13, true);
    keep[12] = false;
    return keep;
  }());
}

TEST(RepeatedTriangles, LeaveOneSideOfASheetThatWasDrawnWithBoth) {
  Eigen::Matrix3Xi triangles(3, 4);
  triangles.transpose() << 0, 1, 2, 0, 2, 3, 0, 2, 1, 0, 3, 2;
  EXPECT_EQ(without_repeated(triangles, 4), (Keep{true, true, false, false}));
}

}  // namespace
}  // namespace trammel
