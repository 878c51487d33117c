#include "trammel/align/rivals.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"

namespace trammel {
namespace {

struct Staged {
  explicit Staged(const Mesh& part, std::uint64_t seed)
      : index(part),
        coarse(part, Rng(1)),
        made(scan_of_part(part, seed)),
        scan(sample_scan(made.scan, 8000, Rng(2))),
        stage(scan, index, coarse) {}

  static test::VirtualScan scan_of_part(const Mesh& part, std::uint64_t seed) {
    test::ScannerSettings settings;
    settings.points = 20000;
    return test::scan_of(part, settings, Rng(seed));
  }
  [[nodiscard]] RoughPose near_truth() const {
    Eigen::Matrix<double, 6, 1> push;
    push << 0.003, -0.002, 0.001, 0.2, 0.1, -0.2;
    RoughPose pose;
    pose.T_design_scan = small_motion(push, coarse.box.center_mm()) * made.T_design_scan;
    pose.score = 1.0;
    return pose;
  }

  SurfaceIndex index;
  CoarseDesign coarse;
  test::VirtualScan made;
  ScanSample scan;
  FineStage stage;
};

TEST(WallThickness, IsThatOfTheSheet) {
  const Mesh sheet = test::bracket(1.5);
  EXPECT_NEAR(wall_thickness_mm(SurfaceIndex(sheet), sample_surface(sheet, 500, Rng(1))), 1.5,
              1e-9);
}

TEST(HoldContest, FindsTheSixTurnsOfAFlangeFromOneOfThem) {
  const Staged s(test::flange(6), 3);
  const Contest contest = hold_contest(s.stage, {s.near_truth()});
  EXPECT_EQ(contest.equals.size(), 5U);
}

TEST(HoldContest, TellsABracketFromItsTurnedTwins) {
  const Staged s(test::bracket(), 4);
  const Contest contest = hold_contest(s.stage, {s.near_truth()});
  EXPECT_TRUE(contest.equals.empty());
  EXPECT_GT(contest.winner.evidence.overlap, 0.99);
  EXPECT_LT(
      corner_distance_mm(contest.winner.fit.T_design_scan, s.made.T_design_scan, s.coarse.box),
      0.05);
}

TEST(HoldContest, TellsASquarePlateByOneSmallHole) {
  // Symmetric but for a hole of 5 mm off the diagonals: 20 mm² of 13,800, and its wall of 47.
  const Staged marked(test::plate(80, 80, 3, {{{20, 32}, 5.0}}), 5);
  EXPECT_TRUE(hold_contest(marked.stage, {marked.near_truth()}).equals.empty());
  const Staged plain(test::plate(80, 80, 3), 5);
  // Four quarter turns, and as many with the plate turned over.
  EXPECT_EQ(hold_contest(plain.stage, {plain.near_truth()}).equals.size(), 7U);
}

}  // namespace
}  // namespace trammel
