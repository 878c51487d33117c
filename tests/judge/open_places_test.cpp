#include "../../src/judge/open_places.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A good plate with the walls of a rib on its upper face, from (20, 20) to (40, 22).
struct Ribbed {
  test::CellFixture f{[](const Vector3d&, const Vector3d&) { return 0.0; }};
  Eigen::Matrix3Xd points_mm;

  Ribbed() {
    std::vector<Vector3d> places;
    for (double x = 20; x <= 40; x += 0.4) {
      for (double z = 5.8; z < 10; z += 0.4) {
        places.emplace_back(x, 20, z);
        places.emplace_back(x, 22, z);
      }
    }
    const auto count = static_cast<Eigen::Index>(places.size());
    points_mm.resize(3, count);
    f.deviations.reading.assign(places.size(), Reading::Beside);
    f.deviations.triangle.resize(count);
    f.deviations.foot_mm.resize(3, count);
    for (Eigen::Index i = 0; i < count; ++i) {
      points_mm.col(i) = places[static_cast<std::size_t>(i)];
      const SurfacePoint foot = f.index.nearest(points_mm.col(i));
      f.deviations.triangle[i] = foot.triangle;
      f.deviations.foot_mm.col(i) = foot.foot_mm;
    }
  }
};

TEST(OpenPlaces, WhatStandsOnThePartIsTold) {
  const Ribbed part;
  const Reasons told = things_on_part(part.f.evidence(), part.points_mm);
  ASSERT_FALSE(told.empty());
  EXPECT_NE(told[0].find("stands on the part"), std::string::npos) << told[0];
}

TEST(OpenPlaces, AGripIsToldFirstAndWhatIsOfItNotAgain) {
  Ribbed part;
  part.f.grips = {{{30, 21, 5}, 12.0, 4.8}};
  const Reasons told = things_on_part(part.f.evidence(), part.points_mm);
  ASSERT_EQ(told.size(), 1U);
  EXPECT_NE(told[0].find("from both sides near (30.0, 21.0, 5.0), 4.8 mm high"), std::string::npos)
      << told[0];
  part.f.grips = {{{55, 21, 5}, 3.0, 4.8}};  // too far off to hold the rib
  const Reasons both = things_on_part(part.f.evidence(), part.points_mm);
  ASSERT_GE(both.size(), 2U);
  EXPECT_NE(both[1].find("stands on the part"), std::string::npos) << both[1];
}

TEST(OpenPlaces, PointsInLineInTheMaterialAreTold) {
  test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  Eigen::Matrix3Xd points_mm(3, 12);
  for (int i = 0; i < 12; ++i)
    points_mm.col(i) = Vector3d(20 + 2.0 * i, 20 + 0.2 * (i % 2), 4.2 - 0.1 * (i % 5));
  f.deviations.reading.assign(12, Reading::Stray);
  f.deviations.signed_mm.setConstant(12, test::kUnseen);
  f.deviations.reach_mm = 5.0;
  const Reasons told = slits_in_part(f.evidence(), points_mm, {}, {});
  ASSERT_EQ(told.size(), 1U);
  EXPECT_NE(told[0].find("12 scan points lie in line there, up to 1.2 mm deep"), std::string::npos)
      << told[0];
}

TEST(OpenPlaces, AClosedHoleThatThePlanDoesNotNameIsTold) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  Verdict verdict;
  verdict.other_holes.resize(2);
  verdict.other_holes[0].state = HoleState::Closed;
  verdict.other_holes[0].drawn_diameter_mm = 6.6;
  verdict.other_holes[0].reason = "a scanned surface lies across it";
  verdict.other_holes[1].state = HoleState::Measured;
  const Reasons told = open_places(f.evidence(), Eigen::Matrix3Xd(3, 0), {}, verdict,
                                   Eigen::VectorXi::Zero(f.tree.cells().size()));
  ASSERT_FALSE(told.empty());
  EXPECT_NE(told[0].find("The hole of 6.6 mm drawn at"), std::string::npos) << told[0];
  EXPECT_NE(told[0].find("is closed"), std::string::npos) << told[0];
}

}  // namespace
}  // namespace trammel
