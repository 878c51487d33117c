#include "trammel/align/round_design.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

std::optional<RoundAxis> axis_of(const Mesh& part) {
  return axis_of_round(SurfaceIndex(part));
}

/// A disc 10 mm thick of the given radius, cut off flat at a depth; with a hole beside its middle.
Mesh disc(double radius_mm, double flat_mm, double hole_mm = 0.0) {
  std::vector<Vector2d> rim, hole;
  for (int i = 0; i < 180; ++i) {
    const double turn = 2.0 * kPi * i / 180.0;
    rim.emplace_back(std::min(radius_mm * std::cos(turn), radius_mm - flat_mm),
                     radius_mm * std::sin(turn));
  }
  for (int i = 0; i < 24; ++i) {
    const double turn = -2.0 * kPi * i / 24.0;
    hole.emplace_back(0.5 * radius_mm + 0.5 * hole_mm * std::cos(turn),
                      0.5 * hole_mm * std::sin(turn));
  }
  return hole_mm > 0.0 ? test::extrude({rim, hole}, 10.0) : test::extrude({rim}, 10.0);
}

Eigen::Isometry3d some_pose(Rng rng) {
  Eigen::Isometry3d T = Eigen::Isometry3d::Identity();
  T.linear() = rng.rotation().toRotationMatrix();
  T.translation() = Vector3d(rng.uniform(-300, 300), rng.uniform(-300, 300), rng.uniform(-9, 9));
  return T;
}

TEST(AxisOfRound, IsThatOfABushingWhereverItLies) {
  for (const int segments : {32, 61, 96, 360}) {
    const Eigen::Isometry3d T = some_pose(Rng(static_cast<std::uint64_t>(segments)));
    const auto round = axis_of(test::moved(test::bushing(segments), T));
    ASSERT_TRUE(round) << segments;
    const Vector3d axis = T.linear() * Vector3d::UnitZ();
    EXPECT_GT(std::abs(round->axis.dot(axis)), 1.0 - 1e-12);
    EXPECT_LT((round->at_mm - T.translation()).cross(axis).norm(), 1e-6);
    // A vertex comes to lie beside the middle of a facet: r (1 − cos(π / n)), r of the collar.
    const double sag_mm = 17.0 * (1.0 - std::cos(kPi / segments));
    EXPECT_LE(round->off_mm, sag_mm + 1e-9) << segments;
    EXPECT_GE(round->off_mm, 0.5 * sag_mm) << segments;
  }
}

TEST(AxisOfRound, IsFoundOfRingsKnobsAndDiscs) {
  EXPECT_TRUE(axis_of(test::torus(20, 4, 90, 40)));
  EXPECT_TRUE(axis_of(test::cylinder(20, 60, 90)));
  EXPECT_TRUE(
      axis_of(test::cylinder(20, 20 * std::sqrt(3.0), 90)));  // a length without a long axis
  EXPECT_TRUE(axis_of(test::turned({{0, 0}, {20, 0}, {20, 6}, {9, 12}, {6, 34}, {0, 34}}, 90)));
  EXPECT_TRUE(axis_of(disc(15.0, 0.0)));
}

TEST(AxisOfRound, IsNoneWhereOneSideDiffers) {
  EXPECT_FALSE(axis_of(test::bracket()));
  EXPECT_FALSE(axis_of(test::housing()));
  EXPECT_FALSE(axis_of(test::flange(6)));
  EXPECT_FALSE(axis_of(test::flange(11)));
  EXPECT_FALSE(axis_of(test::box({0, 0, 0}, {20, 20, 60})));
  EXPECT_FALSE(axis_of(test::cylinder(10, 30, 6)));  // a hexagon
  EXPECT_FALSE(axis_of(disc(15.0, 0.4)));            // cut off flat
  EXPECT_FALSE(axis_of(disc(50.0, 0.0, 1.5)));       // a small hole through a large disc
  EXPECT_FALSE(axis_of(test::sphere(20, 4)));        // every axis: none by itself holds the rest
}

TEST(AxisOfRound, TellsHowMuchAShallowFlatIsOff) {
  const auto round = axis_of(disc(15.0, 0.05));
  ASSERT_TRUE(round);
  EXPECT_GE(round->off_mm, 0.045);  // which counts in the uncertainty
  const auto whole = axis_of(disc(15.0, 0.0));
  ASSERT_TRUE(whole);
  EXPECT_LT(whole->off_mm, 15.0 * (1.0 - std::cos(kPi / 180.0)) + 1e-9);
}

TEST(TurnAboutAxis, MovesNoPointOfTheAxisAndTheRestAsATurnDoes) {
  const RoundAxis round{{3, -2, 5}, Vector3d(1, 2, 2) / 3.0, 0.0};
  const Vector3d center(10, 4, -7);
  const double arm_mm = 25.0;
  const Eigen::Matrix<double, 6, 1> motion = turn_about_axis(round, center, arm_mm);
  EXPECT_NEAR(motion.norm(), 1.0, 1e-12);
  const Vector3d turn = motion.head<3>() / arm_mm;
  const auto moves = [&](const Vector3d& p) -> Vector3d {
    return turn.cross(p - center) + motion.tail<3>();
  };
  EXPECT_LT(moves(round.at_mm + 12.0 * round.axis).norm(), 1e-12);
  const Vector3d p(1, 1, 1);
  EXPECT_LT((moves(p) - turn.norm() * round.axis.cross(p - round.at_mm)).norm(), 1e-12);
}

TEST(PoseDistance, OfARoundDesignForgetsTheTurn) {
  const Box box{{-17, -17, 0}, {17, 17, 30}};
  const RoundAxis round{{0, 0, 8}, Vector3d::UnitZ(), 0.0};
  const Eigen::Isometry3d here = some_pose(Rng(4));
  for (const double turn : {0.3, 2.0, kPi, 5.0}) {
    const Eigen::Isometry3d turned = Eigen::AngleAxisd(turn, Vector3d::UnitZ()) * here;
    EXPECT_LT(pose_distance_mm(turned, here, box, round), 1e-9);
    EXPECT_GT(pose_distance_mm(turned, here, box, {}), 5.0);
    const Eigen::Isometry3d raised = Eigen::Translation3d(0, 0, 2.5) * turned;
    EXPECT_NEAR(pose_distance_mm(raised, here, box, round), 2.5, 1e-9);
  }
  const Eigen::Isometry3d over = Eigen::AngleAxisd(kPi, Vector3d::UnitX()) * here;
  EXPECT_GT(pose_distance_mm(over, here, box, round), 30.0);
}

}  // namespace
}  // namespace trammel
