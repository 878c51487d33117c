#include "trammel/judge/warped_corners.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/diagnosis.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// 1 at the fixture's corner (60, 40), 0 from 12 mm on.
double at_corner(const Vector3d& p) {
  return std::max(0.0, 1.0 - ((60.0 - p.x()) + (40.0 - p.y())) / 12.0);
}

std::vector<Flaw> told_of(const test::CellFixture& f) {
  return diagnose({f.flat, f.tree.cells(), f.readings, f.plan, 0.05, f.tidy.spacing_mm}).flaws;
}

bool is_face(const Vector3d& n) {
  return std::abs(n.z()) > 0.9;
}

TEST(WarpedCorners, ACornerBentOnBothFacesIsOneFlaw) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return is_face(n) ? n.z() * at_corner(p) : 0.0; });
  const std::vector<Flaw> flaws = told_of(f);
  ASSERT_EQ(flaws.size(), 1u);
  EXPECT_EQ(flaws[0].kind, FlawKind::Corner);
  EXPECT_TRUE(flaws[0].of_wall);
  // The last cell's middle lies up to 0.8 mm both ways from the corner itself.
  EXPECT_NEAR(std::abs(flaws[0].figure_mm), 1.0, 2.0 * 0.8 / 12.0);
  EXPECT_NEAR(flaws[0].center_mm.x(), 60.0, 0.8);
  EXPECT_NEAR(flaws[0].center_mm.y(), 40.0, 0.8);
  EXPECT_NE(flaws[0].words.find("The corner at"), std::string::npos);
  EXPECT_NE(flaws[0].words.find("towards +Z"), std::string::npos);
  EXPECT_NE(flaws[0].action.find("towards −Z"), std::string::npos);
}

TEST(WarpedCorners, OneFaceAloneIsABlob) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return n.z() > 0.9 ? at_corner(p) : 0.0; });
  const std::vector<Flaw> flaws = told_of(f);
  ASSERT_EQ(flaws.size(), 1u);
  EXPECT_EQ(flaws[0].kind, FlawKind::Blob);
}

TEST(WarpedCorners, AThickCornerIsNotBent) {
  // Proud on both faces.
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return is_face(n) ? at_corner(p) : 0.0; });
  const std::vector<Flaw> flaws = told_of(f);
  ASSERT_EQ(flaws.size(), 2u);
  for (const Flaw& flaw : flaws)
    EXPECT_EQ(flaw.kind, FlawKind::Blob);
}

TEST(WarpedCorners, ADentPushedThroughInTheMiddleIsNoCorner) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    return is_face(n) && test::in_square(p, Vector3d::UnitZ(), 8) ? n.z() : 0.0;
  });
  const std::vector<Flaw> flaws = told_of(f);
  ASSERT_EQ(flaws.size(), 1u);
  EXPECT_EQ(flaws[0].kind, FlawKind::Dent);
}

}  // namespace
}  // namespace trammel
