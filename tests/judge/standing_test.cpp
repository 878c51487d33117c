#include "trammel/judge/standing.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Points beside the plate of the fixture, 60 × 40 × 5 mm, whose nearest place on it is known.
struct Clutter {
  Eigen::Matrix3Xd points_mm{3, 0};
  Deviations deviations;

  void add(const SurfaceIndex& design, const Vector3d& p) {
    const Index at = points_mm.cols();
    const SurfacePoint foot = design.nearest(p);
    points_mm.conservativeResize(3, at + 1);
    points_mm.col(at) = p;
    deviations.reading.push_back(Reading::Beside);
    deviations.triangle.conservativeResize(at + 1);
    deviations.triangle[at] = foot.triangle;
    deviations.foot_mm.conservativeResize(3, at + 1);
    deviations.foot_mm.col(at) = foot.foot_mm;
  }
};

/// The walls of a rib on the upper face, from (20, 20) to (40, 22), 5 mm high.
void add_rib(Clutter& clutter, const SurfaceIndex& design) {
  for (double x = 20; x <= 40; x += 0.4) {
    for (double z = 5.2; z < 10; z += 0.4) {
      clutter.add(design, {x, 20, z});
      clutter.add(design, {x, 22, z});
    }
  }
}

std::vector<StandingThing> things_of(const test::CellFixture& f, const Clutter& clutter) {
  return things_standing(f.design, f.tree, f.readings, clutter.deviations, clutter.points_mm, 0.5,
                         4.0);
}

TEST(Standing, RibThatIsNotInTheDesignIsFound) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  Clutter clutter;
  add_rib(clutter, f.index);
  const auto things = things_of(f, clutter);
  ASSERT_FALSE(things.empty());
  EXPECT_NEAR(things[0].height_mm, 4.8, 0.21);
  EXPECT_GT(things[0].area_mm2, 4.0);
  EXPECT_NEAR(things[0].center_mm.x(), 30.0, 10.5);
  EXPECT_NEAR(things[0].center_mm.y(), 21.0, 1.5);
}

TEST(Standing, BenchLevelWithTheUnseenLowerFaceIsNot) {
  const test::CellFixture f(
      [](const Vector3d&, const Vector3d& n) { return n.z() < -0.9 ? test::kUnseen : 0.0; });
  Clutter clutter;
  for (double x = -5; x < 65; x += 0.5)
    for (double y = -5; y < 0; y += 0.5)
      clutter.add(f.index, {x, y, 0.02});
  EXPECT_TRUE(things_of(f, clutter).empty());
}

TEST(Standing, ClampThatHoldsTheEdgeFromBothSidesIsNot) {
  // It hides the end of the plate from x = 50 on and rises from both faces there.
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d&) { return p.x() > 50 ? test::kUnseen : 0.0; });
  Clutter clutter;
  for (double y = 0; y <= 40; y += 0.4) {
    for (double rise = 0.2; rise < 5; rise += 0.4) {
      clutter.add(f.index, {49.9, y, 5 + rise});
      clutter.add(f.index, {49.9, y, -rise});
    }
  }
  EXPECT_TRUE(things_of(f, clutter).empty());
}

TEST(Standing, FewStraysAreNot) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  Clutter clutter;
  for (const double x : {20.0, 20.5, 21.0, 21.5, 22.0})
    clutter.add(f.index, {x, 20, 7});
  EXPECT_TRUE(things_of(f, clutter).empty());
}

}  // namespace
}  // namespace trammel
