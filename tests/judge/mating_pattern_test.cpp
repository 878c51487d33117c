#include "trammel/judge/mating_pattern.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Rotation2Dd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Points = std::vector<Vector2d>;

const Points kHoles{{0, 0}, {80, 0}, {80, 50}, {10, 50}};

Points moved(const Points& points, double turn_rad, const Vector2d& by) {
  Points out;
  for (const Vector2d& p : points)
    out.emplace_back(Rotation2Dd(turn_rad) * p + by);
  return out;
}

double sum_of_squares(const Points& a, const Points& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i)
    sum += (a[i] - b[i]).squaredNorm();
  return sum;
}

TEST(LayBolts, PutsTheSamePatternBackFromAnyTurn) {
  for (const double turn : {0.0, 1.0, 3.1, -2.0}) {
    const LaidBolts laid = lay_bolts(kHoles, moved(kHoles, turn, {300, -70}), {1, 1, 1, 1});
    EXPECT_LT(sum_of_squares(kHoles, laid.bolts_mm), 1e-18);
    EXPECT_TRUE(laid.turn_is_sure);
  }
}

// Brute force over turns of 0.001 rad, each with the shift between the means.
TEST(LayBolts, LeavesTheLeastSumOfSquares) {
  Rng rng(4);
  Points bolts = moved(kHoles, 0.7, {5, 5});
  for (Vector2d& p : bolts)
    p += Vector2d(rng.uniform(-3, 3), rng.uniform(-3, 3));
  const double laid = sum_of_squares(kHoles, lay_bolts(kHoles, bolts, {1, 1, 1, 1}).bolts_mm);
  double least = 1e9;
  for (int k = 0; k < 6283; ++k) {
    Points turned = moved(bolts, 0.001 * k, {0, 0});
    Vector2d shift(0, 0);
    for (std::size_t i = 0; i < 4; ++i)
      shift += 0.25 * (kHoles[i] - turned[i]);
    least = std::min(least, sum_of_squares(kHoles, moved(turned, 0.0, shift)));
  }
  EXPECT_LE(laid, least + 1e-9);
  EXPECT_NEAR(laid, least, 0.01 * least);
}

TEST(LayBolts, DoesNotMirror) {
  EXPECT_GT(sum_of_squares(kHoles, lay_bolts(kHoles, mirrored(kHoles), {1, 1, 1, 1}).bolts_mm),
            100.0);
}

// Two bolts 2 mm apart with 0.5 mm of slack each may turn by up to 30°: beyond what is searched.
TEST(LayBolts, SaysWhereOtherTurnsMayFitToo) {
  const Points close{{0, 0}, {2, 0}};
  EXPECT_FALSE(lay_bolts(close, close, {0.5, 0.5}).turn_is_sure);
  EXPECT_TRUE(lay_bolts(close, close, {0.05, 0.05}).turn_is_sure);
}

Mate mate_of(const Points& places, bool faces_out) {
  Mate mate;
  mate.faces_out = faces_out;
  mate.file = "frame.ply";
  for (const Vector2d& place : places) {
    MateHole hole;
    hole.center_mm = Vector3d(place.x(), place.y(), 5.0);
    mate.holes.push_back(hole);
  }
  return mate;
}
const std::vector<std::string> kNames{"A", "B", "C", "D"};

// Who looks at the mate sees the pattern turned over against who looks at the part's face on it.
TEST(MatingPattern, IsSeenFromThePartsSide) {
  const MatingPattern pattern = mating_pattern(mate_of(kHoles, true), kNames);
  ASSERT_EQ(pattern.reason, "");
  const LaidBolts turned_over = lay_bolts(mirrored(kHoles), pattern.bolts_mm, {1, 1, 1, 1});
  EXPECT_LT(sum_of_squares(mirrored(kHoles), turned_over.bolts_mm), 1e-18);
  EXPECT_FALSE(pattern.may_be_mirrored);
}

TEST(MatingPattern, WithoutASideMayBeMirroredUnlessItIsInLine) {
  EXPECT_TRUE(mating_pattern(mate_of(kHoles, false), kNames).may_be_mirrored);
  const Points line{{0, 0}, {10, 0}, {30, 0}, {70, 0}};
  EXPECT_FALSE(mating_pattern(mate_of(line, false), kNames).may_be_mirrored);
}

TEST(MatingPattern, FacesThatLookOppositeWaysAreNoPatternButWithoutSidesAreOne) {
  Mate mate = mate_of(kHoles, true);
  mate.holes[1].face_normal *= -1.0;
  EXPECT_NE(mating_pattern(mate, kNames).reason, "");
  mate.faces_out = false;
  EXPECT_EQ(mating_pattern(mate, kNames).reason, "");
}

TEST(MatingPattern, NamesTheHoleThatWasNotMeasured) {
  Mate mate = mate_of(kHoles, true);
  mate.holes[1].reason = "no flat face was seen about it";
  const std::string reason = mating_pattern(mate, kNames).reason;
  EXPECT_NE(reason.find("hole B was not measured in frame.ply"), std::string::npos) << reason;
  mate.holes.pop_back();
  EXPECT_NE(mating_pattern(mate, kNames).reason, "");
}

TEST(SeatedMates, TakeTheFaceThatThePlanNames) {
  const SurfaceIndex box(test::box({0, 0, 0}, {90, 60, 3}));
  std::vector<MateCheck> asked(2);
  asked[0].face_mm = {40, 20, 0};
  asked[1].face_mm = {40, 20, 30};
  const std::vector<Mate> measured(2);
  const auto seated = seated_mates(asked, measured, box);
  ASSERT_EQ(seated.size(), 2U);
  ASSERT_TRUE(seated[0].face_normal.has_value()) << seated[0].reason;
  EXPECT_LT((*seated[0].face_normal + Vector3d::UnitZ()).norm(), 1e-9);
  EXPECT_FALSE(seated[1].face_normal.has_value());
  EXPECT_NE(seated[1].reason, "");
}

}  // namespace
}  // namespace trammel
