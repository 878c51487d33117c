#include "trammel/judge/every_pose.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

Alignment two_poses() {
  Alignment a;
  a.found = a.converged = a.ambiguous = a.others_complete = true;
  OtherPose other;
  other.words = "turned 180° about z";
  other.rms_mm = 0.5;
  other.T_design_scan.linear() =
      Eigen::AngleAxisd(std::acos(-1.0), Eigen::Vector3d::UnitZ()).toRotationMatrix();
  a.others = {other};
  a.center_mm = {1, 2, 3};
  a.covariance.diagonal() << 1, 2, 3, 4, 5, 6;
  a.covariance(0, 2) = a.covariance(2, 0) = 0.5;
  return a;
}

PoseOutcome pose(Outcome outcome, const std::string& words = "turned") {
  return {words, outcome, outcome == Outcome::Pass ? "" : "Hole A: off"};
}

TEST(EveryPose, IsJudgedOnlyWhereEachIsKnownAndNothingElseIsInDoubt) {
  EXPECT_TRUE(can_judge_each(two_poses()));
  const auto after = [](const auto& spoil) {
    Alignment a = two_poses();
    spoil(a);
    return can_judge_each(a);
  };
  EXPECT_FALSE(after([](Alignment& a) { a.others_complete = false; }));
  EXPECT_FALSE(after([](Alignment& a) { a.ambiguous = false; }));
  EXPECT_FALSE(after([](Alignment& a) { a.found = false; }));
  EXPECT_FALSE(after([](Alignment& a) { a.converged = false; }));
  EXPECT_FALSE(after([](Alignment& a) { a.doubts = {"odd"}; }));
  EXPECT_FALSE(after([](Alignment& a) { a.free_directions = {"slides"}; }));
  EXPECT_FALSE(after([](Alignment& a) { a.others.resize(kMostPoses); }));
  EXPECT_TRUE(after([](Alignment& a) { a.others.resize(kMostPoses - 1); }));
}

TEST(EveryPose, IsTakenForRightWithItsOwnUncertainty) {
  const Alignment a = two_poses();
  const Alignment best = taken_for_right(a, 0), turned = taken_for_right(a, 1);
  EXPECT_TRUE(best.is_sure());
  EXPECT_TRUE(turned.is_sure());
  EXPECT_EQ(best.T_design_scan.matrix(), a.T_design_scan.matrix());
  EXPECT_EQ(turned.T_design_scan.matrix(), a.others[0].T_design_scan.matrix());
  EXPECT_TRUE(turned.center_mm.isApprox(Eigen::Vector3d(-1, -2, 3), 1e-12));
  // A half turn about z leaves the diagonal, and changes the sign of xz.
  EXPECT_TRUE(turned.covariance.diagonal().isApprox(a.covariance.diagonal(), 1e-12));
  EXPECT_NEAR(turned.covariance(0, 2), -0.5, 1e-12);
}

TEST(EveryPose, StandsOnlyWhereAllPassOrAllFail) {
  EXPECT_TRUE(agree({pose(Outcome::Pass), pose(Outcome::Pass)}));
  EXPECT_TRUE(agree({pose(Outcome::Fail), pose(Outcome::Fail)}));
  EXPECT_FALSE(agree({pose(Outcome::Pass), pose(Outcome::Fail)}));
  EXPECT_FALSE(agree({pose(Outcome::Fail), pose(Outcome::Undecided)}));
  EXPECT_FALSE(agree({pose(Outcome::Undecided), pose(Outcome::Undecided)}));
  EXPECT_FALSE(agree({}));
}

TEST(EveryPose, SaysInHowManyPlacesTheVerdictIsTheSame) {
  Verdict verdict;
  verdict.outcome = Outcome::Pass;
  note_agreement(verdict, {pose(Outcome::Pass, ""), pose(Outcome::Pass, "turned 180° about z")});
  ASSERT_EQ(verdict.reasons.size(), 1U);
  EXPECT_EQ(verdict.reasons[0],
            "The scan fits as well in 2 places (turned 180° about z): the part was judged in each, "
            "and it passes in each. The figures are those of the best");
  EXPECT_EQ(verdict.in_poses.size(), 2U);
}

TEST(EveryPose, SaysInWhichTwoTheVerdictDiffers) {
  Verdict verdict;
  verdict.reasons = {"The scan fits as well in 2 places"};
  note_disagreement(verdict, {pose(Outcome::Pass, ""), pose(Outcome::Fail, "turned 180° about z")});
  ASSERT_EQ(verdict.reasons.size(), 2U);
  EXPECT_EQ(verdict.reasons[0],
            "Which way round the part lies decides: as it fits best the part passes, turned 180° "
            "about z it fails (Hole A: off)");
  Verdict open;
  note_disagreement(open, {pose(Outcome::Undecided, "")});
  EXPECT_TRUE(open.reasons.empty());
}

TEST(EveryPose, TakenForRightPassesWhatTheDoubtfulOneLeavesOpen) {
  test::CellFixture f([](const Eigen::Vector3d&, const Eigen::Vector3d&) { return 0.0; });
  f.alignment = two_poses();
  EXPECT_EQ(f.judged().verdict.outcome, Outcome::Undecided);
  f.alignment = taken_for_right(two_poses(), 0);
  EXPECT_EQ(f.judged().verdict.outcome, Outcome::Pass);
}

}  // namespace
}  // namespace trammel
