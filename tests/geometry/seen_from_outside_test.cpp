#include "trammel/geometry/seen_from_outside.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::box;

double area_of(const Mesh& mesh) {
  return surface_area_mm2(mesh);
}

/// Closed box with a hollow: the inner box is wound the other way.
Mesh hollow(const Vector3d& low, const Vector3d& high, double wall_mm) {
  const Vector3d wall = Vector3d::Constant(wall_mm);
  Mesh inner = box(low + wall, high - wall);
  inner.triangles.row(1).swap(inner.triangles.row(2));
  return test::together({box(low, high), inner});
}

double seen_share(const Mesh& mesh) {
  const auto seen = seen_from_outside(mesh);
  return seen ? area_of(*seen) / area_of(mesh) : 1.0;
}

TEST(SeenFromOutside, IsAllOfASingleBody) {
  for (const Mesh& part : {test::bracket(), test::housing(), test::flange(6), test::sphere(20, 3),
                           test::plate(90, 50, 3, {{{30, 20}, 5.0}})})
    EXPECT_FALSE(seen_from_outside(part).has_value());
}

TEST(SeenFromOutside, LeavesOutTheHollowAndTheBlockInIt) {
  const Mesh shell = hollow({0, 0, 0}, {80, 60, 40}, 4.0);
  const Mesh block = box({20, 20, 10}, {50, 40, 30});
  const auto seen = seen_from_outside(test::together({shell, block}));
  ASSERT_TRUE(seen.has_value());
  EXPECT_NEAR(area_of(*seen), area_of(box({0, 0, 0}, {80, 60, 40})), 1e-6);
}

TEST(SeenFromOutside, LeavesOutBothSidesOfSheetsThatTouch) {
  // The lower sheet is larger: its upper face is hidden where the other lies on it, and seen
  // beside.
  const Mesh lower = box({0, 0, 0}, {100, 60, 2}), upper = box({0, 0, 2}, {40, 60, 3.5});
  const auto seen = seen_from_outside(test::together({lower, upper}));
  ASSERT_TRUE(seen.has_value());
  const double all = area_of(lower) + area_of(upper), hidden = 2.0 * 40.0 * 60.0;
  // Pieces of 1/60 of the diagonal, 2 mm, stand on the border of 60 mm.
  EXPECT_NEAR(area_of(*seen), all - hidden, 2.0 * 60.0);
  // The same with a gap of 0.05 mm: rays that rise by 0.03 get out of it from 1.7 mm beside its rim
  // of 200 mm, on both of its sides.
  const Mesh apart = box({0, 0, 2.05}, {40, 60, 3.55});
  const auto gap = seen_from_outside(test::together({lower, apart}));
  ASSERT_TRUE(gap.has_value());
  EXPECT_NEAR(area_of(*gap), all - hidden, 2.0 * 200.0 * 1.7);
}

TEST(SeenFromOutside, KeepsTheWallsOfDeepHolesAndNarrowSlots) {
  // 3 mm across and 60 mm deep; and a slot of 1 mm between two blocks, 30 mm deep.
  EXPECT_DOUBLE_EQ(seen_share(test::plate(40, 40, 60, {{{20, 20}, 3.0}})), 1.0);
  const Mesh slot = test::together({box({0, 0, 0}, {40, 30, 30}), box({41, 0, 0}, {81, 30, 30})});
  EXPECT_DOUBLE_EQ(seen_share(slot), 1.0);
  // A room with one door is looked into through it.
  const Mesh tube = test::extrude(
      {{{0, 0}, {60, 0}, {60, 40}, {0, 40}}, {{5, 5}, {5, 35}, {55, 35}, {55, 5}}}, 80.0);
  EXPECT_DOUBLE_EQ(seen_share(tube), 1.0);
}

TEST(SeenFromOutside, TellsNothingOfWhatIsWoundInsideOut) {
  Mesh inside_out = box({0, 0, 0}, {40, 30, 20});
  inside_out.triangles.row(1).swap(inside_out.triangles.row(2));
  EXPECT_FALSE(seen_from_outside(inside_out).has_value());
  EXPECT_FALSE(seen_from_outside(Mesh{}).has_value());
}

TEST(SeenFromOutside, IsTheSameOnAnyNumberOfThreads) {
  const Mesh mesh = test::together(
      {test::refined(hollow({0, 0, 0}, {80, 60, 40}, 4.0), 3.0), box({20, 20, 10}, {50, 40, 30})});
  const CellTree tree(mesh, 2.0);
  std::vector<std::uint8_t> one, four;
  {
    const ThreadLimit limit(1);
    one = cells_seen_from_outside(mesh, tree.cells());
  }
  {
    const ThreadLimit limit(4);
    four = cells_seen_from_outside(mesh, tree.cells());
  }
  EXPECT_EQ(one, four);
}

}  // namespace
}  // namespace trammel
