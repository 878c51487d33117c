#include "trammel/changes/change_regions.hpp"

#include <gtest/gtest.h>

#include "changes/flat_clouds.hpp"
#include "support/core_grid.hpp"

namespace trammel {
namespace {

CorePoints grid() {
  return test::core_grid(0.1, 0.05);
}

void change(CorePoints& cores, int x, int y, double by_mm) {
  cores.change_mm[20 * y + x] = by_mm;
  cores.state[static_cast<std::size_t>(20 * y + x)] = CoreState::Changed;
}

ChangeScales scales_of_grid() {
  ChangeScales scales;
  scales.core_mm = 1.0;
  scales.cylinder_mm = 1.0;
  return scales;
}

TEST(FamilyWiseZ, GrowsWithTheNumberOfTests) {
  EXPECT_NEAR(family_wise_z(1), 1.959964, 1e-6);
  EXPECT_NEAR(family_wise_z(1000), 4.055627, 1e-5);  // Φ⁻¹(1 − 2.5e−5), tables
}

TEST(Changes, AreConnectedPatchesOfOneSignWithAreaAndVolume) {
  CorePoints cores = grid();
  for (int x = 2; x < 6; ++x)
    for (int y = 2; y < 5; ++y)
      change(cores, x, y, 0.6);
  for (int x = 6; x < 9; ++x)  // beside it, the other way
    for (int y = 2; y < 4; ++y)
      change(cores, x, y, -1.5);
  const auto found = find_changes_among(cores, scales_of_grid(), 4.0, true);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].kind, RegionKind::Shy);
  EXPECT_NEAR(found[0].volume_mm3, -9.0, 1e-12);
  EXPECT_NEAR(found[0].peak_mm, -1.5, 1e-12);
  EXPECT_EQ(found[1].kind, RegionKind::Proud);
  EXPECT_NEAR(found[1].area_mm2, 12.0, 1e-12);
  EXPECT_EQ(found[1].id, 2);
  EXPECT_EQ(cores.change[20 * 2 + 2], 2);
}

TEST(Changes, OfOneCorePointAreNone) {
  CorePoints cores = grid();
  change(cores, 10, 10, 5.0);
  EXPECT_TRUE(find_changes_among(cores, scales_of_grid(), 4.0, true).empty());
  // Not passed over in silence either.
  EXPECT_EQ(cores.state[20 * 10 + 10], CoreState::Unsure);
}

TEST(Changes, ThatChanceMakesSomewhereAmongManyAreNone) {
  // 2.5 σ at six neighbours: significant one by one at 95 %, but with 500 cylinders tested
  // together nothing below about 4 σ is.
  CorePoints cores = grid();
  cores.detectable_mm.setConstant(400, 1.96 * 0.05);
  for (int x = 2; x < 5; ++x)
    for (int y = 2; y < 4; ++y)
      change(cores, x, y, 2.5 * 0.05);
  CorePoints sure = cores;
  EXPECT_TRUE(find_changes_among(cores, scales_of_grid(), 4.0, true).empty());
  change(sure, 3, 3, 5.0 * 0.05);
  EXPECT_EQ(find_changes_among(sure, scales_of_grid(), 4.0, true).size(), 1U);
}

TEST(Changes, FarBehindWhatWasNotSeenAgainAreNoneUnlessSidesAreKnown) {
  CorePoints lone = grid();
  for (int x = 0; x < 14; ++x)
    for (int y = 0; y < 14; ++y)
      lone.state[static_cast<std::size_t>(20 * y + x)] = CoreState::OnlyOld;
  for (int x = 5; x < 8; ++x)
    for (int y = 5; y < 8; ++y)
      change(lone, x, y, -7.0);
  CorePoints beside_seen = lone, near_by = lone, known = lone;
  beside_seen.state[20 * 6 + 8] = CoreState::Same;
  change(near_by, 6, 6, -0.5);
  EXPECT_TRUE(find_changes_among(lone, scales_of_grid(), 4.0, false).empty());
  EXPECT_EQ(lone.state[20 * 6 + 6], CoreState::Unsure);  // not passed over in silence
  EXPECT_EQ(find_changes_among(beside_seen, scales_of_grid(), 4.0, false).size(), 1U);
  EXPECT_EQ(find_changes_among(near_by, scales_of_grid(), 4.0, false).size(), 1U);
  EXPECT_EQ(find_changes_among(known, scales_of_grid(), 4.0, true).size(), 1U);
}

TEST(Changes, OnTwoFacesOfASheetAreTwo) {
  CorePoints cores = grid();
  for (int x = 2; x < 8; ++x)
    for (int y = 2; y < 4; ++y) {
      change(cores, x, y, 0.6);
      if (x >= 5) cores.normals.col(20 * y + x) = -Eigen::Vector3d::UnitZ();
    }
  EXPECT_EQ(find_changes_among(cores, scales_of_grid(), 4.0, true).size(), 2U);
}

TEST(LargestPatch, CountsOnlyWhatReadsBeyond) {
  CorePoints cores = grid();
  for (int x = 0; x < 3; ++x) {
    cores.state[static_cast<std::size_t>(x)] = CoreState::Unsure;
    cores.change_mm[x] = x == 2 ? 0.1 : 0.4;
  }
  EXPECT_NEAR(largest_patch_mm2(cores, scales_of_grid(), CoreState::Unsure, 0.3), 2.0, 1e-12);
}

TEST(PeakByParaboloids, SeesTheBottomOfARoundDent) {
  // Depth 3 − (x² + y²) / 40: the mean over d = 6 lies 3² / 80 = 0.11 mm short of the bottom.
  const Eigen::Matrix3Xd before = test::flat_points(40.0, 4000, 0.0, 0.03, Rng(31));
  Eigen::Matrix3Xd after = test::flat_points(40.0, 4000, -3.0, 0.03, Rng(32));
  for (Eigen::Index i = 0; i < after.cols(); ++i)
    after(2, i) += (after.col(i).head<2>() - Eigen::Vector2d(20, 20)).squaredNorm() / 40.0;
  const Eigen::Matrix3Xd none(3, 0);
  const PointIndex a(before), b(after);
  const Cloud was{before, none, a}, is{after, none, b};
  M3c2Settings how;
  how.cylinder_mm = 6.0;
  how.depth_mm = 10.0;
  how.layer_gap_mm = 1.0;
  const Eigen::Vector3d core(20, 20, 0), up(0, 0, 1);
  const auto plain = m3c2(was, is, core, up, 0.0, how);
  ASSERT_TRUE(plain);
  EXPECT_NEAR(plain->change_mm, -3.0 + 9.0 / 80.0, 0.03);
  // 280 points under 6 coefficients: σ of the height about 2 · 0.03 / √280 = 0.004, twice over.
  EXPECT_NEAR(peak_by_paraboloids(was, is, core, up, *plain, how), -3.0, 0.03);
}

}  // namespace
}  // namespace trammel
