#include "trammel/judge/unmade_features.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/read_in_place.hpp"
#include "support/shapes.hpp"
#include "trammel/judge/diagnosis.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

struct Told {
  std::vector<Region> regions;
  std::vector<Flaw> flaws;

  [[nodiscard]] std::vector<Region> failed() const {
    std::vector<Region> out;
    for (const Region& region : regions)
      if (region.outcome == Outcome::Fail && region.told_with == 0) out.push_back(region);
    return out;
  }
};

/// Regions beyond 0.5 mm of a scan of `real` in place, and the flaws, told of.
Told told_of(const Mesh& design, const Mesh& real) {
  test::ReadInPlace read(design, real);
  std::vector<Region>& regions = read.found.regions;
  const CellReadings of_form = tell_unmade(read.evidence(), read.found.region_of_cell, regions);
  const Plan plan;
  return {regions,
          diagnose({find_flat_faces(design), read.tree.cells(), of_form, plan, 0.05, 0.4}).flaws};
}

Mesh plate_with(const std::vector<Vector2d>& on_top) {
  std::vector<Vector2d> outline{{0, 0}, {60, 0}, {60, 3}};
  outline.insert(outline.end(), on_top.begin(), on_top.end());
  outline.emplace_back(0, 3);
  return test::extrude({outline}, 40);
}

void expect_one_piece(const Told& told, const Vector3d& size_mm) {
  const std::vector<Region> failed = told.failed();
  ASSERT_EQ(failed.size(), 1U);
  EXPECT_EQ(failed[0].absence, Absence::Feature);
  ASSERT_TRUE(failed[0].lacks);
  EXPECT_LT((failed[0].lacks->size_mm() - size_mm).cwiseAbs().maxCoeff(), 1.0)
      << failed[0].lacks->size_mm().transpose();
  EXPECT_TRUE(told.flaws.empty());
}

// Told as a face made too low, to be built up by 2 mm.
TEST(UnmadeFeatures, ALowBarThatWasNotMadeIsOnePieceWithItsSize) {
  expect_one_piece(told_of(plate_with({{38, 3}, {38, 5}, {22, 5}, {22, 3}}), plate_with({})),
                   {16, 2, 40});
}

// Told as two faces that slope.
TEST(UnmadeFeatures, ARoofThatWasNotMadeDoesNotSlope) {
  expect_one_piece(told_of(plate_with({{38, 3}, {30, 7}, {22, 3}}), plate_with({})), {16, 4, 40});
}

// Told as a dent in its top.
TEST(UnmadeFeatures, ABarWithSlopingSidesThatWasNotMadeIsNoDent) {
  expect_one_piece(told_of(plate_with({{40, 3}, {36, 9}, {24, 9}, {20, 3}}), plate_with({})),
                   {20, 6, 40});
}

// Its foot, its top and its sides were regions of their own.
TEST(UnmadeFeatures, AGussetThatWasNotMadeIsToldOnce) {
  const std::vector<Vector2d> angle{{0, 0}, {50, 0}, {50, 4}, {4, 4}, {4, 50}, {0, 50}};
  const Mesh bare = test::extrude({angle}, 40);
  const std::vector<Vector2d> filled{{0, 0}, {50, 0}, {50, 4}, {34, 4}, {4, 34}, {4, 50}, {0, 50}};
  const Told told = told_of(test::extrude({filled}, 40), bare);
  const std::vector<Region> failed = told.failed();
  ASSERT_EQ(failed.size(), 1U);
  EXPECT_EQ(failed[0].absence, Absence::Feature);
  EXPECT_TRUE(told.flaws.empty());
}

TEST(UnmadeFeatures, AThinnerPlateLacksNothing) {
  const Told told = told_of(test::box({0, 0, 0}, {60, 40, 5}), test::box({0, 0, 0}, {60, 40, 4}));
  for (const Region& region : told.regions) {
    EXPECT_EQ(region.absence, Absence::None);
    EXPECT_FALSE(region.lacks);
  }
  EXPECT_FALSE(told.flaws.empty());
}

// Half as high as drawn: there is a bar, and it is to be built up.
TEST(UnmadeFeatures, ABarMadeTooLowIsThere) {
  const Told told = told_of(plate_with({{38, 3}, {38, 7}, {22, 7}, {22, 3}}),
                            plate_with({{38, 3}, {38, 5}, {22, 5}, {22, 3}}));
  for (const Region& region : told.regions)
    EXPECT_EQ(region.absence, Absence::None);
  EXPECT_FALSE(told.flaws.empty());
}

TEST(UnmadeFeatures, ThePlaceOfAPieceIsNotAskedForAgain) {
  std::vector<Region> regions(2);
  regions[0].id = 1;
  regions[0].outcome = Outcome::Fail;
  regions[0].lacks = Box{{10, 10, 3}, {20, 14, 15}};
  regions[1].id = 2;
  regions[1].told_with = 1;
  EXPECT_TRUE(is_of_what_lacks(regions, {15, 14, 9}));
  EXPECT_FALSE(is_of_what_lacks(regions, {30, 14, 9}));
  EXPECT_TRUE(is_told_with_larger(regions, regions[1]));
  EXPECT_FALSE(is_told_with_larger(regions, regions[0]));
  regions[0].outcome = Outcome::Undecided;  // a doubt of the pose took it back
  EXPECT_FALSE(is_of_what_lacks(regions, {15, 14, 9}));
  EXPECT_FALSE(is_told_with_larger(regions, regions[1]));
}

}  // namespace
}  // namespace trammel
