#include "trammel/align/scan_contest.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"

namespace trammel {
namespace {

/// A bracket as the base and a scan of it that lies right.
class ScanContestOnBracket : public ::testing::Test {
 protected:
  static ScanSample sample_of(const Mesh& part) {
    test::ScannerSettings settings;
    settings.points = 15'000;
    settings.random_pose = false;
    return sample_scan(test::scan_of(part, settings, Rng(1)).scan, 8000, Rng(2));
  }
  ScanContestOnBracket()
      : sample_(sample_of(test::bracket())),
        index_(test::bracket()),
        coarse_(index_.mesh(), Rng(3)) {}
  [[nodiscard]] ScanStage stage() const { return {sample_, index_, coarse_, 0.03}; }
  static RoughPose shifted(double mm) {
    RoughPose pose;
    pose.T_design_scan = Eigen::Translation3d(mm, 0.5 * mm, 0) * Eigen::Isometry3d::Identity();
    return pose;
  }

  ScanSample sample_;
  SurfaceIndex index_;
  CoarseDesign coarse_;
};

TEST_F(ScanContestOnBracket, RefinesARoughPoseToTheTruth) {
  const ScanContest contest = hold_scan_contest(stage(), {shifted(0.6)});
  EXPECT_TRUE(contest.equals.empty());
  EXPECT_TRUE(contest.winner.fit.converged);
  EXPECT_LT(corner_distance_mm(contest.winner.fit.T_design_scan, Eigen::Isometry3d::Identity(),
                               coarse_.box),
            0.02);
}

TEST_F(ScanContestOnBracket, FindsOutAFitThatWasCaughtBesideTheTruth) {
  // 1.6 mm off is more than the first kernel holds, less than what is tried beside the best.
  const ScanContest contest = hold_scan_contest(stage(), {shifted(-1.2)});
  EXPECT_LT(corner_distance_mm(contest.winner.fit.T_design_scan, Eigen::Isometry3d::Identity(),
                               coarse_.box),
            0.02);
}

TEST_F(ScanContestOnBracket, WithNoPosesHasNoWinner) {
  const ScanContest contest = hold_scan_contest(stage(), {});
  EXPECT_EQ(contest.winner.evidence.overlap, 0.0);
  EXPECT_FALSE(contest.winner.fit.converged);
}

TEST(ScanContestOnFlange, NamesTheEquals) {
  test::ScannerSettings settings;
  settings.points = 15'000;
  settings.random_pose = false;
  const Mesh part = test::flange(6);
  const ScanSample sample = sample_scan(test::scan_of(part, settings, Rng(4)).scan, 8000, Rng(5));
  const SurfaceIndex index(part);
  const CoarseDesign coarse(part, Rng(6));
  RoughPose right, turned;
  turned.T_design_scan.rotate(Eigen::AngleAxisd(3.14159265358979 / 3.0, Eigen::Vector3d::UnitZ()));
  const ScanContest contest = hold_scan_contest({sample, index, coarse, 0.03}, {right, turned});
  EXPECT_EQ(contest.equals.size(), 1U);
}

}  // namespace
}  // namespace trammel
