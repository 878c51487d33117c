#include "trammel/judge/regions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "judge/cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

FoundRegions regions_of(const test::CellFixture& f, double noise_mm = 0.02) {
  return find_regions(f.plan, f.tree.cells(), f.readings, f.deviations, 0.05, noise_mm, 0.4);
}

/// Squares of 1 mm² on the upper face, so far apart along x.
test::CellFixture small_squares(int count, double apart, double height) {
  return test::CellFixture([=](const Vector3d& p, const Vector3d& n) {
    for (int i = 0; i < count; ++i)
      if (test::in_square(p - Vector3d(i * apart, 0, 0), n, 1.2)) return height;
    return 0.0;
  });
}

test::CellFixture square(double side, double height) {
  return test::CellFixture([=](const Vector3d& p, const Vector3d& n) {
    return test::in_square(p, n, side) ? height : 0.0;
  });
}

TEST(Regions, GoodPartHasNone) {
  EXPECT_TRUE(regions_of(square(10, 0.3)).regions.empty());
}

TEST(Regions, MeasuresAProudSquare) {
  const FoundRegions found = regions_of(square(10, 1.2));
  ASSERT_EQ(found.regions.size(), 1U);
  const Region& region = found.regions.front();
  EXPECT_EQ(region.outcome, Outcome::Fail);
  EXPECT_EQ(region.kind, RegionKind::Proud);
  EXPECT_DOUBLE_EQ(region.peak_mm, 1.2);
  EXPECT_NEAR(region.mean_mm, 1.2, 1e-12);
  // Cells of at most 0.8 mm: the border of 40 mm wanders by half a cell at most.
  EXPECT_NEAR(region.area_mm2, 100.0, 40.0 * 0.4);
  EXPECT_LT((region.center_mm - Vector3d(30, 20, 5)).norm(), 0.8);
  EXPECT_EQ((found.region_of_cell.array() == 1).count() > 0, true);
}

TEST(Regions, DecisionFollowsTheGuardBand) {
  // Band 0.5, U 0.05: conformity is proven up to 0.45, non-conformity above 0.55 (ISO 14253-1).
  EXPECT_TRUE(regions_of(square(10, 0.449)).regions.empty());
  EXPECT_EQ(regions_of(square(10, 0.47)).regions.at(0).outcome, Outcome::Undecided);
  EXPECT_EQ(regions_of(square(10, -0.53)).regions.at(0).outcome, Outcome::Undecided);
  EXPECT_EQ(regions_of(square(10, -0.551)).regions.at(0).outcome, Outcome::Fail);
  EXPECT_EQ(regions_of(square(10, -0.551)).regions.at(0).kind, RegionKind::Shy);
}

TEST(Regions, WithoutALeastAreaWhatIsBeyondFails) {
  test::CellFixture f = square(3.0, 2.0);
  f.plan.least_area_mm2 = 0.0;
  EXPECT_EQ(regions_of(f).regions.at(0).outcome, Outcome::Fail);
}

TEST(Regions, SmallPatchIsListedAndNotJudged) {
  const FoundRegions found = regions_of(square(0.9, 2.0));
  ASSERT_EQ(found.regions.size(), 1U);
  EXPECT_EQ(found.regions.front().outcome, Outcome::Listed);
}

// A burr round a hole was seen as twenty patches, none of them as large as the least area.
TEST(Regions, SmallPatchesCloseTogetherAreOnePlace) {
  const FoundRegions apart = regions_of(small_squares(4, 7.5, 2.0));
  ASSERT_EQ(apart.regions.size(), 4U);
  for (const Region& region : apart.regions)
    EXPECT_EQ(region.outcome, Outcome::Listed);
  const FoundRegions together = regions_of(small_squares(6, 2.4, 2.0));
  ASSERT_EQ(together.regions.size(), 1U);
  EXPECT_EQ(together.regions[0].outcome, Outcome::Undecided);
  EXPECT_TRUE(together.regions[0].adds_up);
  EXPECT_GT(together.regions[0].area_mm2, 4.0);
  EXPECT_GT((together.region_of_cell.array() == 1).count(),
            (apart.region_of_cell.array() > 0).count());
}

// A flash of 0.5 × 6 mm stands 1.7 mm out of a face: 3 mm² of the design, 20 mm² of the part.
TEST(Regions, SmallPatchWithMoreScannedBeyondItThanItCoversIsUndecided) {
  test::CellFixture f = square(0.9, 2.0);
  const FoundRegions flat = regions_of(f);
  ASSERT_EQ(flat.regions.size(), 1U);
  ASSERT_EQ(flat.regions[0].outcome, Outcome::Listed);
  // Ten times as many points, all in its cells.
  const auto old = f.readings.cell_of_point.size();
  const int cell =
      static_cast<int>(std::find(flat.region_of_cell.begin(), flat.region_of_cell.end(), 1) -
                       flat.region_of_cell.begin());
  const Eigen::Index more = 10 * flat.regions[0].points;
  f.readings.cell_of_point.conservativeResize(old + more);
  f.readings.cell_of_point.tail(more).setConstant(cell);
  f.deviations.signed_mm.conservativeResize(old + more);
  f.deviations.signed_mm.tail(more).setConstant(2.0);
  const FoundRegions standing = regions_of(f);
  ASSERT_EQ(standing.regions.size(), 1U);
  EXPECT_EQ(standing.regions[0].outcome, Outcome::Undecided);
  EXPECT_TRUE(standing.regions[0].adds_up);
}

TEST(Regions, SmallPatchBesideUnseenSurfaceMayBeLarger) {
  // The same small patch, but what lies to one side of it on the top face was not seen.
  test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (test::in_square(p, n, 0.9)) return 2.0;
    return n.z() > 0.9 && p.x() > 30.4 ? std::numeric_limits<double>::quiet_NaN() : 0.0;
  });
  const FoundRegions found = regions_of(f);
  ASSERT_EQ(found.regions.size(), 1U);
  EXPECT_EQ(found.regions.front().outcome, Outcome::Undecided);
  EXPECT_TRUE(found.regions.front().runs_into_unseen);
}

TEST(Regions, PatchThatMayBeLargeEnoughIsNotLetThrough) {
  // Shrunk by averaging to 3.2 mm², within the scan's resolution of the 4 mm² that count.
  const FoundRegions found = regions_of(square(1.8, 2.0));
  ASSERT_EQ(found.regions.size(), 1U);
  EXPECT_NE(found.regions.front().outcome, Outcome::Listed);
}

// Three strays among many agreed, and failed a part.
TEST(Regions, FewPointsWhereManyShouldLieDoNotFail) {
  const FoundRegions dense = regions_of(square(3.0, 2.0));
  ASSERT_EQ(dense.regions.at(0).outcome, Outcome::Fail);
  for (const int left : {4, 8}) {
    test::CellFixture f = square(3.0, 2.0);
    int kept = 0;
    for (Eigen::Index i = 0; i < f.readings.cell_of_point.size(); ++i) {
      int& cell = f.readings.cell_of_point[i];
      if (dense.region_of_cell[cell] == 1 && ++kept > left) cell = -1;
    }
    ASSERT_GT(kept, 8);
    const Region region = regions_of(f).regions.at(0);
    EXPECT_EQ(region.points, left);
    EXPECT_EQ(region.outcome, left < 8 ? Outcome::Undecided : Outcome::Fail);
  }
}

/// The upper face at `level_mm`, each 2 × 2 mm of it read a little differently, as the median of
/// three points is.
test::CellFixture noisy_face(double level_mm, double error_mm, Rng rng) {
  std::map<std::pair<int, int>, double> read;
  test::CellFixture f([&](const Vector3d& p, const Vector3d& n) {
    if (n.z() < 0.9) return 0.0;
    const std::pair<int, int> at(static_cast<int>(p.x() / 2.0), static_cast<int>(p.y() / 2.0));
    const auto [value, is_new] = read.try_emplace(at, 0.0);
    if (is_new) value->second = level_mm + error_mm * rng.normal();
    return value->second;
  });
  f.readings.support.setConstant(3);
  return f;
}

// Of 600 places that truly lie at the limit, 2.3 % are read beyond limit + U = 2 σ: one good face
// in two failed.
TEST(Regions, AFaceAtItsLimitDoesNotFailForItsNoise) {
  const double error_mm = 0.024, noise_mm = error_mm * std::sqrt(3.0) / 1.2533;
  int failed = 0, undecided = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    for (const Region& region :
         regions_of(noisy_face(0.5, error_mm, Rng(seed)), noise_mm).regions) {
      failed += region.outcome == Outcome::Fail ? 1 : 0;
      undecided += region.outcome == Outcome::Undecided ? 1 : 0;
    }
  }
  EXPECT_LE(failed, 1);  // 2.3 % of 40 groups, by a bound that is not sharp
  EXPECT_GE(undecided, 40);
  // Beyond the limit by more than U, and by what a dent of 3 × 3 mm is beyond it, it fails.
  const auto worse = regions_of(noisy_face(0.58, error_mm, Rng(7)), noise_mm);
  EXPECT_EQ(worse.regions.at(0).outcome, Outcome::Fail);
  EXPECT_EQ(regions_of(square(3.0, 0.57), noise_mm).regions.at(0).outcome, Outcome::Fail);
}

TEST(Regions, OneStrayPointMakesNoRegion) {
  test::CellFixture f = square(0.0, 0.0);
  f.deviations.signed_mm[1000] = 5.0;
  EXPECT_TRUE(regions_of(f).regions.empty());
}

TEST(Regions, PatchesOfOneFaceThatAreOnlyTooNearToTellAreOneRegion) {
  // Two patches of 5 × 5 mm within U of the limit on the top face, one on the bottom, one that
  // fails.
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    const auto in = [&](double x, double y) {
      return std::abs(p.x() - x) < 2.5 && std::abs(p.y() - y) < 2.5;
    };
    if (n.z() > 0.9) return in(10, 10) || in(25, 10) ? 0.48 : in(50, 30) ? 1.0 : 0.0;
    return n.z() < -0.9 && in(10, 10) ? 0.48 : 0.0;
  });
  const std::vector<Region> found = regions_of(f).regions;
  ASSERT_EQ(found.size(), 3U);
  EXPECT_EQ(found[0].outcome, Outcome::Fail);
  EXPECT_NEAR(found[0].area_mm2, 25.0, 10.0);
  EXPECT_EQ(found[1].outcome, Outcome::Undecided);
  EXPECT_NEAR(found[1].area_mm2, 50.0, 20.0) << "both patches of the top face";
  EXPECT_EQ(found[2].outcome, Outcome::Undecided);
  EXPECT_NEAR(found[2].normal.z(), -1.0, 1e-12);
}

TEST(Regions, ProudAndShyAreKeptApartAndWorstComesFirst) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (n.z() < 0.9 || std::abs(p.y() - 20) > 5) return 0.0;
    if (p.x() > 20 && p.x() < 30) return 0.8;
    return p.x() >= 30 && p.x() < 40 ? -1.1 : 0.0;
  });
  const FoundRegions found = regions_of(f);
  ASSERT_EQ(found.regions.size(), 2U);
  EXPECT_EQ(found.regions[0].kind, RegionKind::Shy);
  EXPECT_EQ(found.regions[0].id, 1);
  EXPECT_EQ(found.regions[1].kind, RegionKind::Proud);
  EXPECT_EQ(found.regions[1].id, 2);
}

TEST(Regions, ZoneHasABandOfItsOwn) {
  test::CellFixture f = square(10, 0.3);
  f.plan.zones.push_back({"mating face", BoxShape{{0, 0, 4}, {60, 40, 6}}, {0.2, 0.2}});
  const FoundRegions found = regions_of(f);
  ASSERT_EQ(found.regions.size(), 1U);
  EXPECT_EQ(found.regions[0].zone, "mating face");
  EXPECT_DOUBLE_EQ(found.regions[0].limit_mm, 0.2);
}

}  // namespace
}  // namespace trammel
