#include "trammel/compare/missing_features.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/compare/compare.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// A scan of `real` in place, compared with `design`.
Deviations compared_in_place(const Mesh& design, const Mesh& real) {
  test::ScannerSettings settings;
  settings.points = 30000;
  settings.random_pose = false;
  const test::VirtualScan scan = test::scan_of(real, settings, Rng(17));
  const SurfaceIndex index(design);
  return compare(scan.scan, facing_normals(scan.scan, index, scan.T_design_scan), index,
                 scan.T_design_scan);
}

/// Readings beyond half a millimetre whose feet lie in a box.
std::vector<double> large_readings_in(const Deviations& deviations, const Vector3d& low,
                                      const Vector3d& high) {
  std::vector<double> out;
  for (Index i = 0; i < deviations.signed_mm.size(); ++i) {
    const Vector3d foot = deviations.foot_mm.col(i);
    if (!(std::abs(deviations.signed_mm[i]) > 0.5)) continue;
    if ((foot.array() >= low.array()).all() && (foot.array() <= high.array()).all()) {
      out.push_back(deviations.signed_mm[i]);
    }
  }
  return out;
}

/// A plate of 60 × 40 mm; `corner` is what its upper right corner is drawn as.
Mesh plate_with(const std::vector<Vector2d>& corner, double thickness_mm) {
  std::vector<Vector2d> outline{{0, 0}, {60, 0}};
  outline.insert(outline.end(), corner.begin(), corner.end());
  outline.emplace_back(0, 35);
  return test::extrude({outline}, thickness_mm);
}

const std::vector<Vector2d> kPlain{{60, 40}};
const std::vector<Vector2d> kTab{{60, 15}, {70, 15}, {70, 30}, {60, 30}, {60, 40}};
const std::vector<Vector2d> kNotch{{60, 18}, {52, 18}, {52, 24}, {60, 24}, {60, 40}};

TEST(MissingFeatures, TabThatIsNotThereIsShyByItsLengthAtItsEnd) {
  for (const double thickness_mm : {3.0, 1.0}) {
    const Deviations out =
        compared_in_place(plate_with(kTab, thickness_mm), plate_with(kPlain, thickness_mm));
    const auto at_end = large_readings_in(out, {69.9, 15, 0}, {70.1, 30, thickness_mm});
    ASSERT_GE(at_end.size(), 3U) << thickness_mm;
    // From the cut to the end; normals lean by up to 12° (four sigma): 10 / cos 12° = 10.22, and
    // the scanner's noise of 0.03 mm comes to it.
    for (const double reading : at_end) {
      EXPECT_LT(reading, -9.9) << thickness_mm;
      EXPECT_GT(reading, -10.35) << thickness_mm;
    }
  }
}

TEST(MissingFeatures, NotchThatIsNotDrawnIsShyBesideItsWallsByItsWidth) {
  // Its walls stand 6 mm apart, its ground 8 mm from the end; the nearest face alone would say 0.5.
  // A way that leans by 9° (three sigma of a normal), a quarter of a millimetre under a face, ends
  // there after 1.6 mm.
  const Deviations out = compared_in_place(plate_with(kPlain, 1.0), plate_with(kNotch, 1.0));
  const auto in_notch = large_readings_in(out, {52, 18, -1}, {60.1, 24, 2});
  ASSERT_GE(in_notch.size(), 5U);
  for (const double reading : in_notch) {
    EXPECT_LT(reading, -1.5);
    EXPECT_GT(reading, -9.0);
  }
}

TEST(MissingFeatures, WideTroughIsShyByItsDepthNotByItsWidth) {
  const Mesh block = test::extrude({{{0, 0}, {60, 0}, {60, 20}, {0, 20}}}, 40.0);
  const Mesh trough = test::extrude(
      {{{0, 0}, {60, 0}, {60, 20}, {42, 20}, {42, 16}, {18, 16}, {18, 20}, {0, 20}}}, 40.0);
  const Deviations out = compared_in_place(block, trough);
  // At its open ends its walls lead out of the block as well.
  const auto on_top = large_readings_in(out, {17, 19.9, 4}, {43, 20.1, 36});
  ASSERT_GE(on_top.size(), 100U);
  for (const double reading_mm : on_top)
    EXPECT_GT(reading_mm, -4.3);
}

TEST(MissingFeatures, HoleThatWasNotDrilledIsProudOnItsWall) {
  const Mesh design = test::plate(60, 40, 3, {{{30, 20}, 6.0}});
  const Deviations out = compared_in_place(design, test::plate(60, 40, 3));
  const auto on_wall = large_readings_in(out, {26.9, 16.9, -0.1}, {33.1, 23.1, 3.1});
  ASSERT_GE(on_wall.size(), 20U);
  // The two lids reach to the middle of the hole, 3 mm from its wall.
  for (const double reading : on_wall) {
    EXPECT_GT(reading, 1.5);
    EXPECT_LT(reading, 3.1);
  }
}

// Drilled 9 mm beside its place: from its wall the way led on through the sheet to the wall of the
// hole as it is drawn, which was "missing: there is no material" by 9 mm.
TEST(MissingFeatures, HoleTooManyIsNoWiderThanItself) {
  const Mesh design = test::plate(60, 40, 3, {{{40, 20}, 6.0}});
  const Deviations out = compared_in_place(design, test::plate(60, 40, 3, {{{31, 20}, 6.0}}));
  const auto at_drawn = large_readings_in(out, {36.9, 16.9, -0.1}, {43.1, 23.1, 3.1});
  ASSERT_GE(at_drawn.size(), 20U);
  // Fewer than three may be strays: now and then nothing was scanned where a way meets a wall.
  const auto is_shy = [](double reading) { return reading < 0.0; };
  EXPECT_LT(std::count_if(at_drawn.begin(), at_drawn.end(), is_shy), 3);
  const auto all = large_readings_in(out, {-1, -1, -1}, {61, 41, 4});
  const auto is_wider = [](double reading) { return reading < -6.5; };
  EXPECT_GT(std::count_if(all.begin(), all.end(), is_shy), 20);
  EXPECT_LT(std::count_if(all.begin(), all.end(), is_wider), 3);
}

// The foot of the upright, bare by as much as the base is too thin, looks along the base to its far
// end, 50 mm away.
TEST(MissingFeatures, BaseTooThinUnderAWallIsShyByWhatItLacks) {
  const auto bracket = [](double base_mm) {
    return test::extrude({{{0, 0}, {60, 0}, {60, base_mm}, {10, base_mm}, {10, 30}, {0, 30}}}, 30);
  };
  for (const double lacking_mm : {0.6, 1.0}) {
    const Deviations out = compared_in_place(bracket(5), bracket(5 - lacking_mm));
    for (Index i = 0; i < out.signed_mm.size(); ++i) {
      if (std::isnan(out.signed_mm[i])) continue;
      // Six sigma of the scanner's noise of 0.03 mm.
      EXPECT_GT(out.signed_mm[i], -lacking_mm - 0.18) << out.foot_mm.col(i).transpose();
    }
  }
}

/// A frame of strips 1.2 mm wide.
Mesh frame(double height_mm) {
  const std::vector<Vector2d> around{{0, 0}, {60, 0}, {60, 40}, {0, 40}};
  const std::vector<Vector2d> opening{{1.2, 1.2}, {1.2, 38.8}, {58.8, 38.8}, {58.8, 1.2}};
  return test::extrude({around, opening}, height_mm);
}

TEST(MissingFeatures, SidesOfANarrowTopMadeTooHighDoNotSayThatItIsLower) {
  // They begin at the drawn top: each alone says how far it reaches, anything down to nothing.
  const Deviations out = compared_in_place(frame(10.0), frame(11.13));
  int read = 0;
  for (Index i = 0; i < out.signed_mm.size(); ++i) {
    if (!(out.signed_mm[i] > 0.0) || out.foot_mm(2, i) < 9.99) continue;
    if (out.inferred.empty() || out.inferred[static_cast<std::size_t>(i)] == 0) continue;
    EXPECT_NEAR(out.signed_mm[i], 1.13, 0.1);  // three sigma of the scanner's noise
    ++read;
  }
  EXPECT_GT(read, 100);
}

TEST(MissingFeatures, GoodPartHasNothingMissingAndNothingCovered) {
  for (const Mesh& part : {plate_with(kTab, 1.0), plate_with(kNotch, 3.0),
                           test::plate(60, 40, 3, {{{30, 20}, 6.0}})}) {
    const Deviations out = compared_in_place(part, part);
    EXPECT_EQ(large_readings_in(out, {-10, -10, -10}, {100, 100, 100}).size(), 0U);
  }
}

}  // namespace
}  // namespace trammel
