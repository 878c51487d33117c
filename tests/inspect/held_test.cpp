/// Parts held by pairs, datums and chosen zones: the whole way from a plan's keys to the verdict.

#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/inspect.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::reasons_of;

Inspection held_check(const Mesh& design, const test::VirtualScan& made, const Plan& plan) {
  return inspect(test::design_of(design), test::raw_scan(made.scan), plan,
                 {"test", "2026-01-01", "check"});
}

TEST(HeldParts, FlangeInMetresIsSureByPairsAndPassesInEachTurnWithout) {
  const Mesh flange = test::flange(6);
  test::ScannerSettings settings;
  settings.points = 30000;
  settings.unit_mm = 1000.0;
  const auto made = test::scan_of(flange, settings, Rng(1));
  Plan plan;
  const Inspection without = held_check(flange, made, plan);
  EXPECT_TRUE(without.alignment.ambiguous);
  EXPECT_EQ(without.verdict.in_poses.size(), 6U) << reasons_of(without);
  plan.method = AlignMethod::Pairs;
  Rng rng(2);
  for (const Vector3d& at : {Vector3d(45, 0, 0), Vector3d(0, 45, 0), Vector3d(-23, 0, 22)})
    plan.pairs.push_back({at, 0.001 * (made.T_design_scan.inverse() * at + 0.3 * rng.direction())});
  const Inspection out = held_check(flange, made, plan);
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
  EXPECT_TRUE(out.alignment.is_sure());
  const auto json = nlohmann::json::parse(result_json(out))["alignment"];
  EXPECT_EQ(json["method"], "pairs");
  EXPECT_EQ(json["held_by"], "best fit from 3 pairs of points on");
  ASSERT_EQ(json["pairs"].size(), 3U);
  EXPECT_NEAR(json["pairs"][0]["left"].get<double>(), 0.3, 0.05);

  std::swap(plan.pairs[0].scan, plan.pairs[2].scan);  // they fit no more
  EXPECT_EQ(held_check(flange, made, plan).verdict.outcome, Outcome::Undecided);
}

/// The upright leans: by datums on the base all of it shows at the top, by best fit it is shared.
TEST(HeldParts, LeanIsLargerWhenTheBaseIsHeld) {
  const Mesh part = test::bracket();
  const Mesh leaning = test::displaced(test::refined(part, 2.0), [](const Vector3d& p) {
    return Vector3d(0.02 * std::max(0.0, p.z() - 3.0), 0, 0);
  });
  test::ScannerSettings settings;
  settings.points = 60000;
  const auto made = test::scan_of(leaning, settings, Rng(3));
  Plan plan;
  plan.method = AlignMethod::Datums;
  plan.datums = {{"A", {55, 30, 0}}, {"B", {40, 15, 3}}, {"C", {70, 44, 3}}};
  const Inspection out = held_check(part, made, plan);
  EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << reasons_of(out);
  EXPECT_NEAR(out.verdict.summary.max_mm, 0.02 * 52.0, 0.15);
  const auto json = nlohmann::json::parse(result_json(out))["alignment"];
  EXPECT_EQ(json["datums"][0]["feature"], "face");
  EXPECT_EQ(json["datums"][1]["feature"], "hole");
  EXPECT_TRUE(json["datums"][1]["form"].is_null());
  EXPECT_EQ(json["datums"][2]["motions"], 1);
  EXPECT_NE(json["held_by"].get<std::string>().find("datums A (face), B (hole) and C (hole)"),
            std::string::npos);
}

/// Bowed all along, an angle may lie on any of its stretches. The advice names what settles that,
/// and by it the bow is told as it was made.
TEST(HeldParts, ABowedAngleIsJudgedByWhatItIsMountedBy) {
  const Mesh part =
      test::extrude({{{0, 0}, {35, 0}, {35, 2.5}, {2.5, 2.5}, {2.5, 25}, {0, 25}}}, 220);
  const Mesh bowed = test::displaced(test::refined(part, 5.0), [](const Vector3d& p) {
    return Vector3d(0, 1.3 * std::pow(p.z() / 110.0 - 1.0, 2), 0);
  });
  test::ScannerSettings settings;
  settings.points = 60000;
  const auto made = test::scan_of(bowed, settings, Rng(6));
  Plan plan;
  plan.band = {0.3, 0.3};
  const Inspection free = held_check(part, made, plan);
  EXPECT_EQ(free.verdict.outcome, Outcome::Undecided) << reasons_of(free);
  EXPECT_TRUE(free.alignment.torn);
  ASSERT_FALSE(free.verdict.actions.empty());
  EXPECT_NE(free.verdict.actions.front().find("align.method = \"datums\""), std::string::npos)
      << free.verdict.actions.front();

  plan.method = AlignMethod::Datums;
  plan.datums = {{"A", {20, 0, 110}}, {"B", {0, 15, 110}}, {"C", {20, 1, 0}}};
  const Inspection held = held_check(part, made, plan);
  EXPECT_EQ(held.verdict.outcome, Outcome::Fail) << reasons_of(held);
  ASSERT_EQ(held.verdict.flaws.size(), 1U);
  EXPECT_EQ(held.verdict.flaws[0].kind, FlawKind::Bow);
  EXPECT_NEAR(held.verdict.flaws[0].figure_mm, 1.3, 0.05);
}

TEST(HeldParts, DatumThatWasNotSeenNeverPasses) {
  const Mesh part = test::bracket();
  test::ScannerSettings settings;
  settings.points = 60000;
  for (const Vector3d& view : spread_directions(40))
    if (view.z() > 0.05) settings.views.push_back(view);
  const auto made = test::scan_of(part, settings, Rng(4));
  Plan plan;
  plan.least_coverage = 0.3;
  plan.method = AlignMethod::Datums;
  plan.datums = {{"A", {55, 30, 0}}, {"B", {40, 15, 3}}, {"C", {70, 44, 3}}};
  const Inspection out = held_check(part, made, plan);
  EXPECT_EQ(out.verdict.outcome, Outcome::Undecided);
  EXPECT_NE(reasons_of(out).find("datum A"), std::string::npos) << reasons_of(out);
}

TEST(HeldParts, ZonesOfThePlanAreFittedTo) {
  const Mesh part = test::bracket();
  test::ScannerSettings settings;
  settings.points = 30000;
  const auto made = test::scan_of(part, settings, Rng(5));
  Plan plan;
  plan.zones = {{"base", BoxShape{{-1, -1, -1}, {91, 61, 3.1}}, plan.band}};
  plan.fit_on = {"base"};
  const Inspection out = held_check(part, made, plan);
  EXPECT_EQ(out.alignment.held_by, "best fit to 'base' alone");
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
}

}  // namespace
}  // namespace trammel
