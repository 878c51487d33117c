#include "trammel/align/describe_pose.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

Alignment held() {
  Alignment alignment;
  alignment.overlap = 0.9;
  alignment.converged = true;
  alignment.standard_error_mm = 0.01;
  return alignment;
}

TEST(DescribePose, HasNoDoubtOfAGoodFit) {
  Alignment alignment = held();
  decide_found(alignment, {}, 100.0);
  EXPECT_TRUE(alignment.found);
  EXPECT_TRUE(alignment.doubts.empty());
}

TEST(DescribePose, DoubtsEachThingThatMayBeWrong) {
  const auto doubts_after = [](const auto& spoil, bool found) {
    Alignment alignment = held();
    spoil(alignment);
    decide_found(alignment, {}, 100.0);
    EXPECT_EQ(alignment.found, found);
    return alignment.doubts.size();
  };
  EXPECT_EQ(doubts_after([](Alignment& a) { a.overlap = 0.29; }, false), 1U);
  EXPECT_EQ(doubts_after([](Alignment& a) { a.standard_error_mm = 2.1; }, false), 1U);
  // Two standard errors beyond 1 % of the diagonal, where poses count as different.
  EXPECT_EQ(doubts_after([](Alignment& a) { a.standard_error_mm = 0.51; }, true), 1U);
  EXPECT_EQ(doubts_after([](Alignment& a) { a.standard_error_mm = 0.49; }, true), 0U);
  EXPECT_EQ(doubts_after([](Alignment& a) { a.converged = false; }, true), 1U);
  EXPECT_EQ(doubts_after(
                [](Alignment& a) {
                  a.ambiguous = true;
                  a.others.emplace_back();
                },
                true),
            1U);
  // Each can be judged: is_sure() says that the pose is not known.
  EXPECT_EQ(doubts_after(
                [](Alignment& a) {
                  a.ambiguous = a.others_complete = true;
                  a.others.emplace_back();
                },
                true),
            0U);
}

TEST(DescribePose, MeasuresAGivenPoseWithoutMovingIt) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.random_pose = false;
  const auto made = test::scan_of(part, settings, Rng(1));
  const ScanSample sample = sample_scan(made.scan, 10000, Rng(2));
  const CoarseDesign coarse(part, Rng(3));
  const FineStage stage(sample, design, coarse);
  const Rival at = rival_at(stage, Eigen::Isometry3d::Identity());
  EXPECT_EQ(at.fit.T_design_scan.matrix(), Eigen::Matrix4d::Identity());
  EXPECT_NEAR(at.fit.sigma_mm, 0.03, 0.01);  // the scanner's noise
  EXPECT_GT(at.evidence.overlap, 0.98);
  const Freedom freedom = freedom_at(stage, at.fit);
  EXPECT_TRUE(freedom.free_directions.empty());
  Alignment alignment;
  note_pose(alignment, at);
  note_freedom(alignment, freedom);
  EXPECT_EQ(alignment.covariance, freedom.covariance);
  EXPECT_EQ(alignment.center_mm, freedom.center_mm);
}

/// A pose that explains all, held to 0.01 mm but for what is free.
Alignment held_but_for(const std::vector<std::string>& free_directions) {
  Alignment alignment;
  alignment.overlap = 1.0;
  alignment.converged = true;
  alignment.standard_error_mm = free_directions.empty() ? 0.01 : 60.0;
  alignment.held_error_mm = 0.01;
  alignment.free_directions = free_directions;
  decide_found(alignment, {}, 150.0);
  return alignment;
}

TEST(DecideFound, SaysWhatIsFreeAndFindsTheRest) {
  const Alignment sheet = held_but_for(
      {"turning about z, held to ±60", "sliding along x, held to ±50", "sliding along y, held to"});
  EXPECT_TRUE(sheet.found);
  EXPECT_TRUE(sheet.loose);
  EXPECT_FALSE(sheet.is_sure());
  ASSERT_EQ(sheet.doubts.size(), 1U);
  EXPECT_NE(sheet.doubts.front().find("free in its plane"), std::string::npos);

  const Alignment shaft =
      held_but_for({"turning about z, held to ±60", "sliding along z, held to ±50"});
  EXPECT_TRUE(shaft.found && shaft.loose && shaft.doubts.empty());
  EXPECT_FALSE(shaft.is_sure());
  const Alignment ball = held_but_for({"turning about x", "turning about y", "turning about z"});
  EXPECT_TRUE(ball.doubts.empty());
  const Alignment firm = held_but_for({});
  EXPECT_TRUE(firm.is_sure());
  EXPECT_FALSE(firm.loose);
}

TEST(DecideFound, FindsNothingThatIsHeldLooselyInEachDirection) {
  Alignment alignment;
  alignment.overlap = 1.0;
  alignment.converged = true;
  alignment.standard_error_mm = 60.0;
  alignment.held_error_mm = 10.0;
  alignment.free_directions = {"sliding along x, held to ±60"};
  decide_found(alignment, {}, 150.0);
  EXPECT_FALSE(alignment.found);
}

}  // namespace
}  // namespace trammel
