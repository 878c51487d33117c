#include "trammel/inspect.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::design_of, test::raw_scan, test::reasons_of;

RunInfo no_run() {
  return {"test", "2026-01-01", "trammel check"};
}

Inspection check(const Mesh& design, const Mesh& real, const test::ScannerSettings& settings,
                 std::uint64_t seed, const Plan& plan = {}) {
  const test::VirtualScan scan = test::scan_of(real, settings, Rng(seed));
  return inspect(design_of(design, "part.stl"), raw_scan(scan.scan), plan, no_run());
}

test::ScannerSettings all_round() {
  test::ScannerSettings settings;
  settings.points = 20000;
  return settings;
}

/// Of fifty poses half have the scanner's normals, and some have strays. Each run of the tests
/// takes the tenth, which has both, and the thirteenth (it found a fault that none before it had);
/// a long run the sixth to the thirteenth; TRAMMEL_POSES=50 (./dev prove passes) all.
void passes_from_any_pose(const Mesh& part) {
  const char* asked = std::getenv("TRAMMEL_POSES");
  const std::uint64_t first = asked == nullptr ? test::rounds(10, 6) : 1;
  const std::uint64_t step = asked == nullptr ? test::rounds(3, 1) : 1;
  const std::uint64_t last = asked == nullptr ? 13 : std::strtoull(asked, nullptr, 10);
  ASSERT_GE(last, first);
  for (std::uint64_t seed = first; seed <= last; seed += step) {
    test::ScannerSettings settings = all_round();
    settings.with_normals = seed % 2 == 0;
    settings.stray_share = seed % 5 == 0 ? 0.02 : 0.0;
    const Inspection out = check(part, part, settings, seed);
    EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << "seed " << seed << ": " << reasons_of(out);
  }
}

TEST(WholeWay, GoodBracketPassesFromAnyPose) {
  passes_from_any_pose(test::bracket());
}

TEST(WholeWay, GoodHousingPassesFromAnyPose) {
  passes_from_any_pose(test::housing());
}

TEST(WholeWay, PartScannedFromOneSideIsNeverPassed) {
  for (const Mesh& part : test::some_of<Mesh>({test::bracket(), test::housing()}, 1)) {
    Rng rng(77);
    for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2, 3}, 1)) {
      test::ScannerSettings settings = all_round();
      settings.views = {rng.direction()};
      const Inspection out = check(part, part, settings, seed);
      EXPECT_EQ(out.verdict.outcome, Outcome::Undecided)
          << "seed " << seed << ": " << reasons_of(out);
      EXPECT_FALSE(out.verdict.reasons.empty());
    }
  }
}

/// A dome of known height on one face, smooth to its foot.
Mesh with_dome(const Mesh& part, const Vector3d& at, const Vector3d& normal, double radius,
               double height) {
  return test::displaced(test::refined(part, 0.8), [=](const Vector3d& p) -> Vector3d {
    const Vector3d d = p - at;
    if (std::abs(d.dot(normal)) > 0.01 || d.norm() >= radius) return Vector3d::Zero();
    const double x = d.norm() / radius;
    return height * (x < 0.5 ? 1.0 : 0.5 * (1.0 + std::cos(2.0 * 3.14159265358979 * (x - 0.5)))) *
           normal;
  });
}

TEST(WholeWay, PlantedDefectsAreFoundAtTheirPlaceAndSize) {
  const Mesh part = test::bracket();
  struct Flaw {
    Vector3d at, normal;
    double radius, height;
  };
  // Upper and lower face of the base, inner face of the upright; proud and shy.
  const std::vector<Flaw> flaws = {{{55, 30, 3}, {0, 0, 1}, 8, 1.2},
                                   {{55, 30, 3}, {0, 0, 1}, 8, -0.9},
                                   {{50, 25, 0}, {0, 0, -1}, 7, 0.8},
                                   {{3, 10, 20}, {1, 0, 0}, 7, 2.0},
                                   {{0, 50, 12}, {-1, 0, 0}, 6, -1.5}};
  std::uint64_t seed = 300;
  for (const Flaw& flaw : test::some_of(flaws, 2)) {
    const Mesh real = with_dome(part, flaw.at, flaw.normal, flaw.radius, flaw.height);
    test::ScannerSettings settings = all_round();
    settings.points = test::rounds(40000, 60000);
    settings.with_normals = seed % 2 == 0;
    const Inspection out = check(part, real, settings, ++seed);
    EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << reasons_of(out);
    ASSERT_FALSE(out.verdict.regions.empty());
    const Region& region = out.verdict.regions.front();
    EXPECT_NEAR(region.peak_mm, flaw.height, 0.1);
    EXPECT_EQ(region.kind, flaw.height > 0 ? RegionKind::Proud : RegionKind::Shy);
    EXPECT_LT((region.center_mm - flaw.at).norm(), 1.5);
    int failing = 0;
    for (const Region& each : out.verdict.regions)
      failing += each.outcome == Outcome::Fail ? 1 : 0;
    EXPECT_EQ(failing, 1) << reasons_of(out);
  }
}

TEST(WholeWay, ScansInMetresAndInchesGiveTheSameSheet) {
  const Mesh part = test::bracket();
  std::vector<Inspection> all;
  for (const double unit_mm : test::some_of<double>({1.0, 25.4, 1000.0}, 2)) {
    test::ScannerSettings settings = all_round();
    settings.unit_mm = unit_mm;
    all.push_back(check(part, part, settings, 42));
    EXPECT_EQ(all.back().units.mm_per_unit, unit_mm);
  }
  for (const Inspection& other : all) {
    EXPECT_EQ(other.verdict.outcome, Outcome::Pass);
    // The stored coordinates differ by rounding, the aligned ones by what ICP leaves of it.
    EXPECT_NEAR(other.verdict.summary.rms_mm, all[0].verdict.summary.rms_mm, 1e-4);
    EXPECT_NEAR(other.verdict.coverage.seen_fraction, all[0].verdict.coverage.seen_fraction, 1e-3);
  }
}

TEST(WholeWay, SameInputsGiveTheSameBytesOnAnyNumberOfThreads) {
  if (!test::is_long_run()) GTEST_SKIP() << "Cli.EveryFileIsTheSame… tries it on a demo scan";
  test::ScannerSettings settings = all_round();
  settings.with_normals = false;
  settings.stray_share = 0.02;
  const Mesh part = test::housing();
  const Mesh shrunk = test::displaced(part, [](const Vector3d& p) { return Vector3d(-0.008 * p); });
  std::vector<std::string> texts;
  for (const int threads : test::some_of<int>({1, 4, 2}, 2)) {
    const ThreadLimit limit(threads);
    texts.push_back(result_json(check(part, shrunk, settings, 5)));
    EXPECT_EQ(texts.back(), texts.front()) << threads;
  }
}

TEST(WholeWay, ShrinkIsMeasuredAndNotAlignedAway) {
  const Mesh part = test::housing();
  const Mesh shrunk = test::displaced(part, [](const Vector3d& p) { return Vector3d(-0.01 * p); });
  Plan plan;
  plan.band = {0.3, 0.3};
  const Inspection out = check(part, shrunk, all_round(), 8, plan);
  EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << reasons_of(out);
  EXPECT_NEAR(out.alignment.scale.uniform, 0.99, 0.001);
}

TEST(WholeWay, MissingTabIsNeverPassed) {
  // A plate with a tab: the design has it, the part does not.
  const Mesh with_tab = test::extrude(
      {{{0, 0}, {80, 0}, {80, 20}, {95, 20}, {95, 38}, {80, 38}, {80, 50}, {0, 45}}}, 3.0);
  const Mesh without = test::extrude({{{0, 0}, {80, 0}, {80, 50}, {0, 45}}}, 3.0);
  for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2, 3}, 1)) {
    const Inspection out = check(with_tab, without, all_round(), seed);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
  }
}

TEST(WholeWay, HoleOffPlaceFailsAndIsMeasured) {
  test::BracketOptions options;
  options.second_base_hole_off_mm = {0.0, 1.2};
  Plan plan;
  HoleCheck good{"A", {40, 15, 3}, 0.5, Limits{8.1, 8.7}, 8.0};
  HoleCheck off{"B", {70, 44, 3}, 0.5, Limits{8.1, 8.7}, 8.0};
  plan.holes = {good, off};
  test::ScannerSettings settings = all_round();
  settings.points = 60000;
  const Inspection out = check(test::bracket(), test::bracket(options), settings, 4, plan);
  EXPECT_EQ(out.verdict.outcome, Outcome::Fail);
  ASSERT_EQ(out.verdict.holes.size(), 2U);
  EXPECT_EQ(out.verdict.holes[0].outcome, Outcome::Pass) << reasons_of(out);
  EXPECT_EQ(out.verdict.holes[1].outcome, Outcome::Fail);
  ASSERT_TRUE(out.verdict.holes[1].offset_mm.has_value());
  EXPECT_NEAR(out.verdict.holes[1].offset_mm->y(), 1.2, 0.1);
  EXPECT_NEAR(*out.verdict.holes[1].position_mm, 2.4, 0.2);
}

TEST(WholeWay, AnotherPartIsNotHeldForThisOne) {
  const Inspection out = check(test::bracket(), test::housing(), all_round(), 6);
  EXPECT_NE(out.verdict.outcome, Outcome::Pass);
}

}  // namespace
}  // namespace trammel
