#include "trammel/align/scan_contest.hpp"

#include <gtest/gtest.h>

#include <vector>

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

/// Ribs 8 mm high every 90 mm along x, 200 mm wide, from x = 0 to the length; a box
/// of 25 mm stands at `box_x_mm` unless that is negative (its top alone).
Mesh ribs(double length_mm, double box_x_mm = -1.0) {
  std::vector<Eigen::Vector3d> corners;
  std::vector<Eigen::Vector3i> triangles;
  const auto strip = [&](double x0, double z0, double x1, double z1, double y0, double y1) {
    const auto first = static_cast<int>(corners.size());
    corners.insert(corners.end(), {{x0, y0, z0}, {x1, y0, z1}, {x1, y1, z1}, {x0, y1, z0}});
    triangles.insert(triangles.end(),
                     {{first, first + 1, first + 2}, {first, first + 2, first + 3}});
  };
  for (double x = 0.0; x < length_mm; x += 90.0) {
    strip(x, 0, x + 35, 0, 0, 200);
    strip(x + 35, 0, x + 45, 8, 0, 200);
    strip(x + 45, 8, x + 80, 8, 0, 200);
    strip(x + 80, 8, x + 90, 0, 0, 200);
  }
  if (box_x_mm >= 0.0) strip(box_x_mm, 25, box_x_mm + 80, 25, 20, 180);
  Mesh mesh;
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(corners.size()));
  mesh.triangles.resize(3, static_cast<Eigen::Index>(triangles.size()));
  for (std::size_t i = 0; i < corners.size(); ++i)
    mesh.vertices_mm.col(static_cast<Eigen::Index>(i)) = corners[i];
  for (std::size_t i = 0; i < triangles.size(); ++i)
    mesh.triangles.col(static_cast<Eigen::Index>(i)) = triangles[i];
  return mesh;
}

/// Laid where it is, and one and two ribs farther along.
ScanContest ribs_on_ribs(const Mesh& base, const Mesh& moving) {
  test::ScannerSettings settings;
  settings.points = 15'000;
  settings.random_pose = false;
  const ScanSample sample = sample_scan(test::scan_of(moving, settings, Rng(4)).scan, 8000, Rng(5));
  const SurfaceIndex index(base);
  const CoarseDesign coarse(base, Rng(6));
  std::vector<RoughPose> rough(3);
  for (std::size_t i = 0; i < rough.size(); ++i)
    rough[i].T_design_scan.translation().x() = 90.0 * static_cast<double>(i);
  return hold_scan_contest({sample, index, coarse, 0.03}, rough);
}

// The pose of most overlap was held for sure: the scans need not overlap by as much as they can.
TEST(ScanContestOnRibs, DoubtsAPoseWhileAnotherContradictsNothing) {
  const ScanContest contest = ribs_on_ribs(ribs(540), ribs(720));
  ASSERT_FALSE(contest.equals.empty());
  EXPECT_LT(contest.equals[0].evidence.overlap, contest.winner.evidence.overlap - 0.1);
  // All of it lies on the base: its overlap is no accident.
  EXPECT_TRUE(ribs_on_ribs(ribs(540), ribs(540)).equals.empty());
}

TEST(ScanContestOnRibs, IsSureWhereTheOtherPosesAreContradicted) {
  // With a box on each, that must come to lie on the box.
  const ScanContest contest = ribs_on_ribs(ribs(540, 230), ribs(540, 230));
  EXPECT_TRUE(contest.equals.empty());
  EXPECT_NEAR(contest.winner.fit.T_design_scan.translation().x(), 0.0, 0.1);
}

}  // namespace
}  // namespace trammel
