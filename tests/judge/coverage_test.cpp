#include "trammel/judge/coverage.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

TEST(Coverage, UnseenFaceIsMissingFromTheShare) {
  const test::CellFixture f(
      [](const Vector3d&, const Vector3d& n) { return n.z() < -0.9 ? test::kUnseen : 0.0; });
  const Coverage out = coverage_of(f.tree.cells(), f.readings);
  // A box of 60 × 40 × 5: 5,800 mm² in all, 2,400 of them below.
  EXPECT_NEAR(out.design_area_mm2, 5800.0, 1e-6);
  EXPECT_NEAR(out.seen_area_mm2, 3400.0, 1e-6);
  EXPECT_NEAR(out.seen_fraction, 3400.0 / 5800.0, 1e-9);
}

TEST(Coverage, ZoneIsCountedByItself) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d&) { return p.x() < 30 ? test::kUnseen : 0.0; });
  const Zone unseen{"a", BoxShape{{-1, -1, -1}, {29, 41, 6}}, {}};
  const Zone nowhere{"b", BoxShape{{100, 0, 0}, {110, 1, 1}}, {}};
  EXPECT_EQ(seen_share_of(unseen, f.tree.cells(), f.readings).value(), 0.0);
  EXPECT_FALSE(seen_share_of(nowhere, f.tree.cells(), f.readings).has_value());
}

TEST(Coverage, OneUnseenFaceOfASheetIsNoUnseenWall) {
  const test::CellFixture f(
      [](const Vector3d&, const Vector3d& n) { return n.z() < -0.9 ? test::kUnseen : 0.0; });
  EXPECT_TRUE(unseen_walls(f.index, f.tree, f.readings, 12.0, 20.0).empty());
}

TEST(Coverage, EndOfASheetThatNobodySawCouldBeMissing) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d&) { return p.x() > 50 ? test::kUnseen : 0.0; });
  const auto walls = unseen_walls(f.index, f.tree, f.readings, 12.0, 20.0);
  ASSERT_FALSE(walls.empty());
  EXPECT_GT(walls.front().center_mm.x(), 50.0);
  EXPECT_GT(walls.front().area_mm2, 350.0);  // each face of the end has 10 × 40 mm²
}

}  // namespace
}  // namespace trammel
