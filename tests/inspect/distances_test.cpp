/// Distances, zones of a face and the holes that no plan names, the whole way.

#include <gtest/gtest.h>

#include <cmath>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/inspect.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

HoleCheck hole(const std::string& name, const Vector3d& at_mm) {
  HoleCheck check;
  check.name = name;
  check.at_mm = at_mm;
  return check;
}

/// The bracket of shapes.hpp: its pitch √(30² + 29²), its thickness, its length at two heights of
/// the upright, and hole A from the face y = 0.
Plan plan_of_bracket(double either_mm) {
  Plan plan;
  plan.scan_units = Unit::Mm;
  plan.band = {2.0, 2.0};
  plan.holes = {hole("A", {40, 15, 3}), hole("B", {70, 44, 3})};
  const Band band{either_mm, either_mm};
  plan.distances = {{"pitch", "A", "B", {}, band},
                    {"thickness", Vector3d(30, 30, 0), Vector3d(30, 30, 3), {}, band},
                    {"length below", Vector3d(0, 30, 5), Vector3d(90, 30, 1.5), {}, band},
                    {"length above", Vector3d(0, 20, 50), Vector3d(90, 30, 1.5), {}, band},
                    {"edge", "A", Vector3d(45, 0, 1.5), {}, band}};
  return plan;
}

Inspection checked(const Mesh& real, const Plan& plan, test::ScannerSettings settings = {},
                   std::uint64_t seed = 7) {
  settings.points = test::rounds(40000, 60000);
  return test::check_made_in_place(test::bracket(), real, plan, seed, settings);
}

std::string words_of(const Inspection& inspection) {
  std::string text = test::reasons_of(inspection);
  for (const DistanceResult& distance : inspection.verdict.distances)
    text += distance.name + " " + outcome_name(distance.outcome) + " " +
            std::to_string(distance.actual_mm.value_or(NAN)) + " U " +
            std::to_string(distance.uncertainty_mm) + "\n";
  return text;
}

void expect_actual(const DistanceResult& distance, double true_mm) {
  ASSERT_TRUE(distance.actual_mm.has_value()) << distance.name;
  EXPECT_NEAR(*distance.actual_mm, true_mm, distance.uncertainty_mm) << distance.name;
  // Noise of 0.03 mm averages out: far better than U of one reading is what is measured.
  EXPECT_NEAR(*distance.actual_mm, true_mm, 0.03) << distance.name;
  EXPECT_LT(distance.uncertainty_mm, 0.25) << distance.name;
}

TEST(Distances, OfAGoodPartAreMeasuredAndPass) {
  test::ScannerSettings settings;
  settings.points = test::rounds(40000, 60000);
  const Inspection out =
      test::check_made(test::bracket(), test::bracket(), plan_of_bracket(0.4), 7, settings);
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << words_of(out);
  ASSERT_EQ(out.verdict.distances.size(), 5U);
  expect_actual(out.verdict.distances[0], std::hypot(30.0, 29.0));
  expect_actual(out.verdict.distances[1], 3.0);
  expect_actual(out.verdict.distances[2], 90.0);
  expect_actual(out.verdict.distances[3], 90.0);
  expect_actual(out.verdict.distances[4], 15.0);
  for (const DistanceResult& distance : out.verdict.distances)
    EXPECT_EQ(distance.outcome, Outcome::Pass) << words_of(out);
}

TEST(Distances, AHoleOffItsPlaceFailsTheDistanceAndThePart) {
  test::BracketOptions options;
  options.second_base_hole_off_mm = {1.0, 0.3};
  const Inspection out = checked(test::bracket(options), plan_of_bracket(0.4));
  expect_actual(out.verdict.distances[0], std::hypot(31.0, 29.3));
  EXPECT_EQ(out.verdict.distances[0].outcome, Outcome::Fail);
  EXPECT_EQ(out.verdict.distances[1].outcome, Outcome::Pass);
  EXPECT_EQ(out.verdict.outcome, Outcome::Fail);
  EXPECT_NE(words_of(out).find("Distance pitch: 42.6"), std::string::npos) << words_of(out);
}

TEST(Distances, AThickerSheetFailsItsThicknessAlone) {
  test::BracketOptions options;
  options.thickness_mm = 3.8;
  const Inspection out = checked(test::bracket(options), plan_of_bracket(0.4));
  expect_actual(out.verdict.distances[1], 3.8);
  EXPECT_EQ(out.verdict.distances[1].outcome, Outcome::Fail) << words_of(out);
  EXPECT_EQ(out.verdict.distances[0].outcome, Outcome::Pass) << words_of(out);
}

// The upright leans back by 1° about its foot: 0.87 mm at 50 mm, next to nothing at its foot.
TEST(Distances, OfALeaningFaceHoldAtThePlaceGiven) {
  const double lean = std::tan(kDegree);
  const Mesh leaning =
      test::displaced(test::refined(test::bracket(), 4.0), [&](const Vector3d& p) -> Vector3d {
        return p.x() < 3.001 && p.z() > 3.0 ? Vector3d(-lean * (p.z() - 3.0), 0, 0)
                                            : Vector3d::Zero();
      });
  Plan plan = plan_of_bracket(0.3);
  plan.method = AlignMethod::AsScanned;  // best fit would turn the part by a part of the lean
  test::ScannerSettings settings;
  settings.random_pose = false;
  const Inspection out = checked(leaning, plan, settings);
  const DistanceResult &below = out.verdict.distances[2], &above = out.verdict.distances[3];
  ASSERT_TRUE(below.actual_mm && above.actual_mm) << words_of(out);
  EXPECT_NEAR(*above.actual_mm - *below.actual_mm, lean * 45.0, 0.03) << words_of(out);
  EXPECT_EQ(above.outcome, Outcome::Fail) << words_of(out);
  EXPECT_NE(below.outcome, Outcome::Fail) << words_of(out);
}

TEST(Distances, ToWhatWasNotSeenAreUndecided) {
  test::ScannerSettings from_above;
  from_above.views = {Vector3d(0.3, 0.2, 0.9).normalized(), Vector3d(0.5, -0.4, 0.7).normalized(),
                      Vector3d(0.2, 0.6, 0.7).normalized(), Vector3d(0.8, 0.1, 0.6).normalized()};
  const Inspection out = checked(test::bracket(), plan_of_bracket(0.4), from_above);
  EXPECT_EQ(out.verdict.distances[1].outcome, Outcome::Undecided);
  EXPECT_FALSE(out.verdict.distances[1].actual_mm.has_value());
  EXPECT_NE(words_of(out).find("Distance thickness: the face at (30.0, 30.0, 0.0): only 0 %"),
            std::string::npos)
      << words_of(out);
  EXPECT_NE(out.verdict.outcome, Outcome::Pass);
}

// Over seeds and noise: what is measured lies within its U, and a distance beyond its limit by any
// amount never passes.
TEST(Distances, NeverPassWhatIsBeyondTheLimit) {
  for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2, 3, 5, 4, 6, 7, 8}, 3)) {
    test::BracketOptions options;
    const double off = 0.25 + 0.05 * static_cast<double>(seed);
    options.second_base_hole_off_mm = off * Eigen::Vector2d(30, 29).normalized();
    test::ScannerSettings settings;
    settings.noise_mm = 0.02 * static_cast<double>(1 + seed % 4);
    settings.with_normals = seed % 2 == 0;
    const Inspection out =
        checked(test::bracket(options), plan_of_bracket(0.3), settings, 40 + seed);
    const DistanceResult& pitch = out.verdict.distances[0];
    if (!pitch.actual_mm) continue;
    EXPECT_LE(std::abs(*pitch.actual_mm - std::hypot(30.0, 29.0) - off), pitch.uncertainty_mm);
    if (off >= 0.3) {
      EXPECT_NE(pitch.outcome, Outcome::Pass) << words_of(out);
    }
  }
}

TEST(Distances, AreTheSameBytesOnAnyNumberOfThreads) {
  std::string first;
  for (const int threads : test::some_of<int>({1, 4, 2}, 2)) {
    const ThreadLimit limit(threads);
    const std::string json = result_json(checked(test::bracket(), plan_of_bracket(0.4)));
    if (first.empty()) first = json;
    EXPECT_TRUE(json == first) << threads;
  }
  EXPECT_NE(first.find("\"other_holes\""), std::string::npos);
}

TEST(ZonesOfAFace, GiveTheirBandToTheirFaceAlone) {
  Plan plan = plan_of_bracket(1.0);
  plan.distances.clear();
  plan.band = {0.3, 0.3};
  // All of the part is 0.4 mm too thick on the base's upper side: too much outside the zone.
  test::BracketOptions options;
  options.thickness_mm = 3.4;
  const Inspection without = checked(test::bracket(options), plan);
  EXPECT_NE(without.verdict.outcome, Outcome::Pass) << words_of(without);
  plan.zones = {{"base", FaceShape{{50, 30, 3}}, {2.0, 2.0}},
                {"under", FaceShape{{50, 30, 0}}, {2.0, 2.0}},
                {"back", FaceShape{{0, 30, 50}}, {2.0, 2.0}},
                {"front", FaceShape{{3, 30, 45}}, {2.0, 2.0}}};
  const Inspection with = checked(test::bracket(options), plan);
  EXPECT_EQ(with.verdict.outcome, Outcome::Pass) << words_of(with);
  ASSERT_GE(with.notes.size(), 4U);
  EXPECT_EQ(with.notes[0].substr(0, 28), "Zone 'base' is the flat face") << with.notes[0];
}

TEST(ZonesOfAFace, WithoutAFaceAreAnError) {
  Plan plan = plan_of_bracket(1.0);
  plan.zones = {{"nowhere", FaceShape{{50, 30, 20}}, {}}};
  EXPECT_THROW((void)checked(test::bracket(), plan), Error);
}

TEST(HolesOutsideThePlan, AreListedMeasured) {
  const Inspection out = checked(test::bracket(), plan_of_bracket(0.4));
  ASSERT_EQ(out.verdict.other_holes.size(), 2U);  // 6.6 and 22 mm in the upright
  for (const OtherHole& other : out.verdict.other_holes) {
    EXPECT_EQ(other.state, HoleState::Measured) << other.reason;
    EXPECT_NEAR(other.center_mm.x(), 1.5, 1e-6);
    EXPECT_NEAR(*other.diameter_mm, other.drawn_diameter_mm, 0.06);
    EXPECT_LT(other.offset_mm->norm(), 0.1);
  }
}

}  // namespace
}  // namespace trammel
