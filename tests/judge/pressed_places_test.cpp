#include "trammel/judge/pressed_places.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/diagnosis.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

std::vector<Flaw> told_of_pressed(const test::CellFixture& f) {
  return diagnose({f.flat, f.tree.cells(), f.readings, f.plan, 0.05, f.tidy.spacing_mm}).flaws;
}

/// 1 in the middle of the fixture's plate, 0 from 8 mm on.
double in_middle(const Vector3d& p) {
  return std::max(0.0, 1.0 - (p - Vector3d(30, 20, p.z())).norm() / 8.0);
}

TEST(PressedPlaces, APlacePressedThroughIsOneFlawWithOneWayBack) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    return std::abs(n.z()) > 0.9 ? -1.2 * n.z() * in_middle(p) : 0.0;
  });
  const std::vector<Flaw> flaws = told_of_pressed(f);
  ASSERT_EQ(flaws.size(), 1u);
  EXPECT_EQ(flaws[0].kind, FlawKind::Dent);
  EXPECT_TRUE(flaws[0].of_wall);
  EXPECT_EQ(flaws[0].normal, Vector3d::UnitZ());
  // The last cell's middle lies up to 0.8 mm from the peak both ways.
  EXPECT_NEAR(flaws[0].figure_mm, -1.2, 1.2 * 1.2 / 8.0);
  EXPECT_GT(flaws[0].share, 0.9);
  EXPECT_NE(flaws[0].words.find("pressed"), std::string::npos);
  EXPECT_NE(flaws[0].action.find("Press the wall"), std::string::npos);
  EXPECT_NE(flaws[0].action.find("towards +Z"), std::string::npos);
}

TEST(PressedPlaces, OneFaceAloneIsDented) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return n.z() > 0.9 ? -1.2 * in_middle(p) : 0.0; });
  const std::vector<Flaw> flaws = told_of_pressed(f);
  ASSERT_EQ(flaws.size(), 1u);
  EXPECT_FALSE(flaws[0].of_wall);
  EXPECT_NE(flaws[0].action.find("Fill the dent"), std::string::npos);
}

TEST(PressedPlaces, JoinsOnlyWhatLiesBehindAndIsAsHighAsDeep) {
  SurfaceCells cells;
  cells.center_mm.resize(3, 7);
  cells.center_mm << 0, 1, 6, 1, 1, 1, 1,  //
      0, 1, 0, 1, 1, 1, 1,                 //
      2, 0, 0, 0, 0, -12, 4;
  cells.area_mm2.setConstant(7, 100.0);
  const Vector3d up = Vector3d::UnitZ();
  const auto patch = [&](FlawKind kind, double figure_mm, int cell, const Vector3d& normal) {
    LocalFlaw out;
    out.flaw.kind = kind;
    out.flaw.figure_mm = figure_mm;
    out.flaw.normal = normal;
    out.area_mm2 = 100.0;
    out.cells = {cell};
    return out;
  };
  const LocalFlaw dent = patch(FlawKind::Dent, -1.0, 0, up);
  const auto count_with = [&](const LocalFlaw& other) {
    return with_pressed_places({other, dent}, cells, 12.0).size();
  };
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.9, 1, -up)), 1u);
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.9, 2, -up)), 2u);
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.5, 3, -up)), 2u);
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.9, 4, up)), 2u);
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.9, 5, -up)), 2u);
  EXPECT_EQ(count_with(patch(FlawKind::Blob, 0.9, 6, -up)), 2u);   // two sheets with a gap
  EXPECT_EQ(count_with(patch(FlawKind::Dent, -0.9, 1, -up)), 2u);  // thinned
  const auto joined = with_pressed_places({patch(FlawKind::Blob, 0.9, 1, -up), dent}, cells, 12.0);
  EXPECT_EQ(joined[0].flaw.kind, FlawKind::Dent);
  EXPECT_EQ(joined[0].cells, (std::vector<int>{0, 1}));
}

}  // namespace
}  // namespace trammel
