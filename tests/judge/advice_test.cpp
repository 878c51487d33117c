#include "trammel/judge/advice.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

Alignment settled() {
  Alignment out;
  out.found = out.converged = true;
  return out;
}

Verdict failed() {
  Verdict out;
  out.outcome = Outcome::Fail;
  out.coverage.seen_fraction = 1.0;
  return out;
}

Region failing_region() {
  Region region;
  region.id = 1;
  region.peak_mm = 1.2;
  region.limit_mm = 0.5;
  region.outcome = Outcome::Fail;
  return region;
}

TEST(Advice, ShrunkPrintIsPrintedLargerNextTime) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  Alignment alignment = settled();
  alignment.scale = {0.992, 0.0001};
  const auto out = advice(verdict, alignment, Plan{}, 120.0);
  ASSERT_FALSE(out.empty());
  EXPECT_NE(out.front().find("0.80 %"), std::string::npos);
  EXPECT_NE(out.front().find("100.81 %"), std::string::npos);  // 1 / 0.992
}

TEST(Advice, ScaleWithinItsErrorIsNotClaimed) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  Alignment alignment = settled();
  alignment.scale = {0.992, 0.004};
  for (const std::string& line : advice(verdict, alignment, Plan{}, 120.0)) {
    EXPECT_EQ(line.find("%"), std::string::npos) << line;
  }
}

TEST(Advice, OffsetHoleNamesTheWay) {
  Verdict verdict = failed();
  HoleResult hole;
  hole.name = "B";
  hole.nominal_diameter_mm = 8.4;
  hole.offset_mm = Eigen::Vector3d(0, 1.2, 0);
  hole.outcome = Outcome::Fail;
  verdict.holes = {hole};
  const auto out = advice(verdict, settled(), Plan{}, 120.0);
  ASSERT_EQ(out.size(), 1U);
  EXPECT_NE(out.front().find("1.20 mm towards +Y"), std::string::npos);
  EXPECT_NE(out.front().find("10.8 mm"), std::string::npos);  // 8.4 + 2 · 1.2
}

TEST(Advice, WallOfAFailedHoleNeedsNoLineOfItsOwn) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  HoleResult hole;
  hole.name = "B";
  hole.nominal_diameter_mm = 8.4;
  hole.offset_mm = Eigen::Vector3d(0, 1.2, 0);
  hole.outcome = Outcome::Fail;
  verdict.holes = {hole};
  verdict.regions[0].center_mm = {4.2, 0, 0};
  EXPECT_EQ(advice(verdict, settled(), Plan{}, 120.0).size(), 1U);
  verdict.regions[0].center_mm = {40, 0, 0};
  EXPECT_GT(advice(verdict, settled(), Plan{}, 120.0).size(), 1U);
}

TEST(Advice, PassNeedsNone) {
  Verdict verdict;
  verdict.outcome = Outcome::Pass;
  EXPECT_TRUE(advice(verdict, settled(), Plan{}, 120.0).empty());
}

TEST(Advice, BendingAWeldedPartComesWithACaution) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  const auto out = advice(verdict, settled(), Plan{}, 120.0);
  ASSERT_EQ(out.size(), 2U);
  EXPECT_NE(out.back().find("strength"), std::string::npos);
}

}  // namespace
}  // namespace trammel
