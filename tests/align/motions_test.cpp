#include "trammel/align/motions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

Eigen::Isometry3d turn_z(double degrees, const Eigen::Vector3d& center) {
  Eigen::Isometry3d turn = Eigen::Isometry3d::Identity();
  turn.linear() = Eigen::AngleAxisd(degrees * kDegree, Eigen::Vector3d::UnitZ()).toRotationMatrix();
  turn.translation() = center - turn.linear() * center;
  return turn;
}

TEST(SpreadRotations, LeaveNoRotationFarFromAll) {
  const auto rotations = spread_rotations(1500);
  Rng rng(1);
  double worst = 0.0;
  for (int trial = 0; trial < 500; ++trial) {
    const Eigen::Quaterniond any = rng.rotation();
    double nearest = 10.0;
    for (const auto& r : rotations) {
      EXPECT_NEAR(r.norm(), 1.0, 1e-12);
      nearest = std::min(nearest, any.angularDistance(r));
    }
    worst = std::max(worst, nearest);
  }
  // 1,500 balls of rotations of radius r fill SO(3) at least once when 1500·(r − sin r)/π ≥ 1:
  // r = 13.4°. No set reaches that; twice the radius is a spread without gaps.
  EXPECT_LT(worst, 2.0 * 13.4 * kDegree);
}

TEST(CornerDistance, IsThatOfTheCornerThatMovesMost) {
  const Box box{{0, 0, 0}, {10, 20, 30}};
  Eigen::Isometry3d shift = Eigen::Isometry3d::Identity();
  shift.translation() = Eigen::Vector3d(3, 4, 0);
  EXPECT_NEAR(corner_distance_mm(shift, Eigen::Isometry3d::Identity(), box), 5.0, 1e-12);
  // A half turn about z at the origin moves (10, 20, ·) to (−10, −20, ·).
  EXPECT_NEAR(
      corner_distance_mm(turn_z(180, Eigen::Vector3d::Zero()), Eigen::Isometry3d::Identity(), box),
      2.0 * std::hypot(10.0, 20.0), 1e-9);
}

TEST(SmallMotion, TurnsAboutTheCentreThenShifts) {
  Eigen::Matrix<double, 6, 1> motion;
  motion << 0, 0, 90 * kDegree, 1, 2, 3;
  const Eigen::Isometry3d T = small_motion(motion, {10, 0, 0});
  EXPECT_LT((T * Eigen::Vector3d(10, 0, 0) - Eigen::Vector3d(11, 2, 3)).norm(), 1e-12);
  EXPECT_LT((T * Eigen::Vector3d(11, 0, 0) - Eigen::Vector3d(11, 3, 3)).norm(), 1e-12);
}

TEST(LikelySymmetries, HoldTheTurnsOfAFlange) {
  const Mesh flange = test::flange(6);
  const Box box = bounding_box(flange.vertices_mm);
  const auto samples = sample_surface(flange, 2000, Rng(2));
  const auto turns = likely_symmetries(samples.points_mm, box);
  for (int k = 1; k < 6; ++k) {
    const Eigen::Isometry3d wanted = turn_z(60.0 * k, box.center_mm());
    EXPECT_TRUE(std::any_of(turns.begin(), turns.end(),
                            [&](const Eigen::Isometry3d& turn) {
                              return corner_distance_mm(turn, wanted, box) < 1e-6;
                            }))
        << 60 * k << "°";
  }
}

TEST(MotionInWords, NamesTurnAndShift) {
  const Box box{{0, 0, 0}, {90, 60, 55}};
  EXPECT_EQ(motion_in_words(turn_z(180, box.center_mm()), box), "turned 180° about z");
  Eigen::Isometry3d shift = Eigen::Isometry3d::Identity();
  shift.translation() = Eigen::Vector3d(0, 12.34, 0);
  EXPECT_EQ(motion_in_words(shift, box), "shifted 12.3 mm along y");
  EXPECT_EQ(motion_in_words(shift * turn_z(60, box.center_mm()), box),
            "turned 60° about z, shifted 12.3 mm along y");
}

TEST(MotionInWords, TellsTheLargerPartOfASmallMotion) {
  const Box box{{0, 0, 0}, {90, 60, 55}};
  EXPECT_EQ(motion_in_words(turn_z(0.3, box.center_mm()), box), "turned 0.3° about z");
  Eigen::Isometry3d shift = Eigen::Isometry3d::Identity();
  shift.translation() = Eigen::Vector3d(0, 0.34, 0);
  EXPECT_EQ(motion_in_words(shift, box), "shifted 0.34 mm along y");
}

}  // namespace
}  // namespace trammel
