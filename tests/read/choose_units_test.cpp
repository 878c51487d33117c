#include "trammel/read/choose_units.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

/// Points spread in a 90 × 60 × 55 box (diagonal 121.3 mm), divided by `unit_mm`.
Scan scan_in(double unit_mm) {
  Rng rng(4);
  Scan scan;
  scan.points_mm.resize(3, 5000);
  for (Eigen::Index i = 0; i < scan.points_mm.cols(); ++i)
    scan.points_mm.col(i) << rng.uniform(0, 90), rng.uniform(0, 60), rng.uniform(0, 55);
  scan.points_mm /= unit_mm;
  return scan;
}

const Mesh kDesign = test::box({0, 0, 0}, {90, 60, 55});

std::vector<std::string> units_of(const Scan& scan) {
  std::vector<std::string> units;
  for (const UnitChoice& choice : plausible_units(scan, kDesign, Unit::Auto))
    units.push_back(choice.unit);
  return units;
}

TEST(ChooseUnits, FindsTheUnitThatAWholeScanIsIn) {
  EXPECT_EQ(units_of(scan_in(1.0)).front(), "mm");
  EXPECT_EQ(units_of(scan_in(10.0)).front(), "cm");
  EXPECT_EQ(units_of(scan_in(1000.0)).front(), "m");
  EXPECT_EQ(units_of(scan_in(25.4)).front(), "in");
}

TEST(ChooseUnits, IsUnsureBetweenCentimetresAndInchesAndKeepsBoth) {
  const auto choices = plausible_units(scan_in(25.4), kDesign, Unit::Auto);
  ASSERT_GE(choices.size(), 2U);
  EXPECT_EQ(choices[1].unit, "cm");
  EXPECT_FALSE(choices[0].certain);
  EXPECT_TRUE(plausible_units(scan_in(1.0), kDesign, Unit::Auto)[0].certain);
  EXPECT_TRUE(plausible_units(scan_in(1000.0), kDesign, Unit::Auto)[0].certain);
}

TEST(ChooseUnits, PrefersMillimetresForASmallPatchAndForALargeScene) {
  Scan patch = scan_in(1.0);
  patch.points_mm *= 0.35;
  EXPECT_EQ(units_of(patch).front(), "mm");
  Scan scene = scan_in(1.0);
  scene.points_mm *= 12.0;
  EXPECT_EQ(units_of(scene).front(), "mm");
}

TEST(ChooseUnits, DoesNotLetStraysOrBrokenPointsDecide) {
  Scan scan = scan_in(1.0);
  scan.points_mm.col(7) << 1e7, 1e7, 1e7;
  scan.points_mm.col(8) << std::nan(""), 0, 0;
  EXPECT_EQ(units_of(scan), units_of(scan_in(1.0)));
}

TEST(ChooseUnits, SaysWhatItComparedForTheSheet) {
  const UnitChoice choice = plausible_units(scan_in(25.4), kDesign, Unit::Auto)[0];
  EXPECT_TRUE(test::has(choice.reason, "from sizes: the scan measures 4."));
  EXPECT_TRUE(test::has(choice.reason, "as stored, the design 121.3 mm"));  // √(90² + 60² + 55²)
}

TEST(ChooseUnits, TakesAGivenUnitWithoutLooking) {
  const auto choices = plausible_units(scan_in(1.0), kDesign, Unit::Inch);
  ASSERT_EQ(choices.size(), 1U);
  EXPECT_EQ(choices[0].mm_per_unit, 25.4);
  EXPECT_EQ(choices[0].reason, "given in the plan");
  EXPECT_EQ(in_mm(scan_in(25.4), choices[0]).points_mm.col(3),
            Eigen::Vector3d(scan_in(25.4).points_mm.col(3) * 25.4));
}

TEST(ChooseUnits, RefusesSizesThatFitNoUnitWithBothSizes) {
  Scan tiny = scan_in(1.0);
  tiny.points_mm *= 1e-6;
  const std::string message =
      test::input_error([&] { (void)plausible_units(tiny, kDesign, Unit::Auto); });
  EXPECT_TRUE(test::has(message, "121.3 mm"));
  EXPECT_TRUE(test::has(message, "[scan]"));
}

TEST(ChooseUnits, SpeaksOfWhatTheScanLiesBeside) {
  EXPECT_EQ(units_beside(scan_in(25.4), 121.3, "the old scan").at(0).unit, "in");
  EXPECT_NE(
      units_beside(scan_in(1.0), 121.3, "the old scan").at(0).reason.find(", the old scan 121"),
      std::string::npos);
  EXPECT_TRUE(units_beside(scan_in(1.0), 4.8, "the old scan").empty());
  const std::string words = no_unit_fits(scan_in(1.0), 4.8, "the old scan");
  EXPECT_EQ(words.find("expected a scan of about the old scan's size (4.80 mm) in mm"), 0U)
      << words;
}

TEST(ChooseUnits, GuessesTheUnitOfALoneFile) {
  EXPECT_EQ(guess_unit_of_lone_file(121.3).unit, "mm");
  EXPECT_EQ(guess_unit_of_lone_file(30.0).unit, "mm");
  EXPECT_EQ(guess_unit_of_lone_file(0.2).unit, "m");
  EXPECT_EQ(guess_unit_of_lone_file(5.76).unit, "in");
  EXPECT_FALSE(guess_unit_of_lone_file(5.76).certain);
  EXPECT_FALSE(guess_unit_of_lone_file(0.0).certain);
}

}  // namespace
}  // namespace trammel
