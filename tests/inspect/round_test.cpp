/// Round parts: no scan tells how far they are turned about their axis, and nothing hangs on it.

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/inspect.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::reasons_of;

Plan within(double band_mm) {
  Plan plan;
  plan.band = {band_mm, band_mm};
  return plan;
}

Inspection round_check(const Mesh& design, const Mesh& made, const Plan& plan, std::uint64_t seed,
                       test::ScannerSettings settings = {}) {
  settings.points = test::rounds(25000, 40000);
  return test::check_made(design, made, plan, seed, settings);
}

Mesh washer(double bore_mm = 13.0) {
  return test::turned({{0.5 * bore_mm, 0}, {20, 0}, {20, 3}, {0.5 * bore_mm, 3}}, 96);
}

/// The wall at x > 0 pushed out around a place, as by a blow from inside.
Mesh with_bump(const Mesh& part, double height_mm) {
  return test::displaced(test::refined(part, 0.8), [&](const Vector3d& p) {
    const double from = (p - Vector3d(12.5, 0, 18)).norm();
    const bool outside = std::hypot(p.x(), p.y()) > 12.3;
    return Vector3d(outside && from < 3.0 ? height_mm * (1.0 - from / 3.0) : 0.0, 0, 0);
  });
}

TEST(RoundPart, GoodPassesFromAnyPose) {
  for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2, 3}, 2)) {
    test::ScannerSettings settings;
    settings.with_normals = seed != 2;
    const Inspection out =
        round_check(test::bushing(), test::bushing(), within(0.3), seed, settings);
    EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
    EXPECT_FALSE(out.alignment.ambiguous);
    EXPECT_TRUE(out.alignment.free_directions.empty());
    ASSERT_TRUE(out.alignment.round);
    EXPECT_LT(out.alignment.standard_error_mm, 0.02);
  }
}

TEST(RoundPart, ThatCanLieEitherWayUpIsJudgedInBoth) {
  const Inspection out = round_check(washer(), washer(), within(0.3), 4);
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
  EXPECT_EQ(out.verdict.in_poses.size(), 2U);
}

TEST(RoundPart, FailsForWhatAnyTurnShows) {
  EXPECT_EQ(
      round_check(test::bushing(), with_bump(test::bushing(), 1.5), within(0.3), 5).verdict.outcome,
      Outcome::Fail);
  EXPECT_EQ(round_check(washer(), washer(14.4), within(0.3), 6).verdict.outcome, Outcome::Fail);
  const Mesh longer = test::displaced(
      test::bushing(), [](const Vector3d& p) { return Vector3d(0, 0, p.z() > 20.0 ? 0.9 : 0.0); });
  EXPECT_EQ(round_check(test::bushing(), longer, within(0.3), 7).verdict.outcome, Outcome::Fail);
}

TEST(RoundPart, OfWhichTooLittleWasSeenIsNotPassed) {
  test::ScannerSettings settings;
  settings.views = {Vector3d(1, 0, 0.2).normalized()};
  EXPECT_NE(round_check(test::bushing(), test::bushing(), within(0.3), 8, settings).verdict.outcome,
            Outcome::Pass);
}

TEST(RoundPart, WithAZoneOnOneSideIsUndecided) {
  Plan plan = within(0.3);
  plan.zones = {{"seat", SphereShape{{12.5, 0, 18}, 4.0}, {0.1, 0.1}}};
  const Inspection out = round_check(test::bushing(), test::bushing(), plan, 9);
  EXPECT_EQ(out.verdict.outcome, Outcome::Undecided);
  EXPECT_NE(reasons_of(out).find("zone 'seat'"), std::string::npos) << reasons_of(out);
  plan.zones = {{"top", BoxShape{{-30, -30, 20}, {30, 30, 40}}, {0.25, 0.25}}};
  const Inspection whole_end = round_check(test::bushing(), test::bushing(), plan, 9);
  EXPECT_EQ(whole_end.verdict.outcome, Outcome::Pass) << reasons_of(whole_end);
}

}  // namespace
}  // namespace trammel
