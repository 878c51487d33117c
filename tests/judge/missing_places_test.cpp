#include "trammel/judge/missing_places.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/read_in_place.hpp"
#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// Regions beyond 0.5 mm of a scan of `real` in place, told of.
std::vector<Region> regions_of(const Mesh& design, const Mesh& real) {
  return test::ReadInPlace(design, real).found.regions;
}

// Told as a dent 5 mm deep, in a plate of 3 mm: it was as deep as the hole is wide.
TEST(MissingPlaces, AHoleTooManyIsToldByItsDiameter) {
  const auto regions =
      regions_of(test::plate(60, 40, 3), test::plate(60, 40, 3, {{{30, 20}, 5.0}}));
  ASSERT_GE(regions.size(), 2U);
  for (const Region& region : {regions[0], regions[1]}) {
    EXPECT_EQ(region.absence, Absence::Hole);
    EXPECT_NEAR(region.hole_mm.value_or(0.0), 5.0, 0.1);
    EXPECT_LT((region.center_mm.head<2>() - Vector2d(30, 20)).norm(), 0.1);
    EXPECT_NEAR(region.peak_mm, -3.0, 0.01);  // as deep as the plate is thick
  }
}

// The other hand's pattern, close by: what was read of the wall as drawn made it as deep as the
// rest of the plate is long.
TEST(MissingPlaces, AHoleBesideOneThatWasNotDrilledIsAsDeepAsThePlateIsThick) {
  for (const double made_x : {31.0, 34.4}) {
    const auto regions = regions_of(test::plate(60, 40, 3, {{{40, 20}, 5.5}}),
                                    test::plate(60, 40, 3, {{{made_x, 20}, 5.5}}));
    int holes = 0;
    for (const Region& region : regions) {
      holes += region.absence == Absence::Hole ? 1 : 0;
      if (region.outcome != Outcome::Fail || region.absence == Absence::None) continue;
      EXPECT_GT(region.peak_mm, -3.01) << made_x << " at " << region.center_mm.transpose();
    }
    EXPECT_GE(holes, 1) << made_x;
  }
}

// Of a rib 12 mm high on a plate nothing but the plate was made.
TEST(MissingPlaces, ARibThatWasNotMadeIsAFeature) {
  const std::vector<Vector2d> ribbed{{0, 0},   {60, 0},  {60, 3}, {32, 3},
                                     {32, 15}, {28, 15}, {28, 3}, {0, 3}};
  const std::vector<Vector2d> plain{{0, 0}, {60, 0}, {60, 3}, {0, 3}};
  const auto regions = regions_of(test::extrude({ribbed}, 40), test::extrude({plain}, 40));
  ASSERT_FALSE(regions.empty());
  EXPECT_EQ(regions[0].absence, Absence::Feature);
  EXPECT_GT(regions[0].normal.y(), 0.99);
  EXPECT_GT(regions[0].area_mm2, 4 * 40 - 16);  // its top, and what was read of its sides
  EXPECT_NEAR(regions[0].peak_mm, -12.0, 0.1);
}

TEST(MissingPlaces, ANotchIsMissingMaterial) {
  const std::vector<Vector2d> plain{{0, 0}, {60, 0}, {60, 40}, {0, 40}};
  const std::vector<Vector2d> notched{{0, 0},   {60, 0},  {60, 18}, {52, 18},
                                      {52, 24}, {60, 24}, {60, 40}, {0, 40}};
  const auto regions = regions_of(test::extrude({plain}, 1.0), test::extrude({notched}, 1.0));
  ASSERT_FALSE(regions.empty());
  for (const Region& region : regions) {
    if (region.outcome != Outcome::Fail || std::abs(region.normal.z()) < 0.9) continue;
    EXPECT_EQ(region.absence, Absence::Material);
    EXPECT_GT(region.peak_mm, -1.01);  // the sheet is 1 mm thick, whatever way was read along it
  }
}

TEST(MissingPlaces, WhatIsOnlySetBackIsNotMissing) {
  const auto regions =
      regions_of(test::box({0, 0, 0}, {60, 40, 5}), test::box({0, 0, 0}, {60, 40, 4}));
  ASSERT_FALSE(regions.empty());
  EXPECT_EQ(regions[0].absence, Absence::None);
  EXPECT_NEAR(regions[0].peak_mm, -1.0, 0.1);
}

}  // namespace
}  // namespace trammel
