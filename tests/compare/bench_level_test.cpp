#include "trammel/compare/bench_level.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/compare/compare.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

Mesh plate(double length_mm) {
  return test::box({0, 0, 0}, {length_mm, 60, 1.5});
}

/// A scan without normals of a sheet that is drawn 80 mm long: as it stands on a bench, and from
/// below after it was taken off it.
Deviations on_bench_and_below(double length_mm, bool bench) {
  test::ScannerSettings settings;
  settings.points = 15000;
  settings.random_pose = settings.with_normals = false;
  test::ScannerSettings below = settings;
  settings.bench = bench;
  for (const double turn : {0.0, 0.8, 1.6, 2.4, 3.2, 4.0, 4.8, 5.6}) {
    for (const double rise : {0.4, 1.2}) {
      const Vector3d from(std::cos(turn) * std::cos(rise), std::sin(turn) * std::cos(rise),
                          std::sin(rise));
      settings.views.push_back(from);
      below.views.emplace_back(from.x(), from.y(), -from.z());
    }
  }
  const test::VirtualScan above = test::scan_of(plate(length_mm), settings, Rng(5));
  const test::VirtualScan under = test::scan_of(plate(length_mm), below, Rng(6));
  Scan both;
  both.points_mm.resize(3, above.scan.size() + under.scan.size());
  both.points_mm << above.scan.points_mm, under.scan.points_mm;
  const SurfaceIndex index(plate(80.0));
  return compare(both, facing_normals(both, index, above.T_design_scan), index,
                 above.T_design_scan);
}

/// Of the points read from the end of the sheet.
double highest_of_end(const Deviations& out) {
  double highest = 0.0;
  for (Index i = 0; i < out.signed_mm.size(); ++i)
    if (out.foot_mm(0, i) > 79.99 && out.signed_mm[i] > highest) highest = out.signed_mm[i];
  return highest;
}

TEST(BenchLevel, IsNotTheUndersideThatGoesOn) {
  // Its points would make every edge proud by as far as distances are read.
  const Deviations out = on_bench_and_below(80.0, true);
  EXPECT_GT(count_of(out, Reading::Beside), 500U);
  EXPECT_LT(out.signed_mm.array().isNaN().select(0.0, out.signed_mm).maxCoeff(), 0.3);
}

TEST(BenchLevel, ASheetCutTooLongStaysSo) {
  for (const bool bench : {false, true})
    EXPECT_NEAR(highest_of_end(on_bench_and_below(83.0, bench)), 3.0, 0.2) << bench;
  // Farther than distances are read, too: it has its other side.
  EXPECT_GT(highest_of_end(on_bench_and_below(95.0, false)), 4.0);
}

TEST(BenchLevel, ASheetCutTooLongAndSeenFromOneSideStaysSo) {
  // Its upper face goes on beyond all reach, and nothing behind it was scanned. It passed.
  test::ScannerSettings settings;
  settings.points = 15000;
  settings.random_pose = settings.with_normals = false;
  settings.views = {{0.1, 0.2, 1}, {1, 0.4, 0.7}, {-1, 0.3, 0.6}, {0.2, -1, 0.4}, {0.1, 1, 0.3}};
  const test::VirtualScan above = test::scan_of(plate(120.0), settings, Rng(7));
  const SurfaceIndex index(plate(80.0));
  const Deviations out = compare(above.scan, facing_normals(above.scan, index, above.T_design_scan),
                                 index, above.T_design_scan);
  EXPECT_GT(highest_of_end(out), 4.0);
}

/// A scan without normals, from above, of a sheet on its bench.
Deviations from_above(const Mesh& real, const Mesh& drawn, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.random_pose = settings.with_normals = false;
  settings.noise_mm = 0.02;
  settings.bench = true;
  settings.views = {{0.1, 0.2, 1}, {1, 0.4, 1}, {-1, 0.3, 1}, {0.2, -1, 1}, {0.1, 1, 1}};
  const test::VirtualScan scan = test::scan_of(real, settings, Rng(seed));
  const SurfaceIndex index(drawn);
  return compare(scan.scan, facing_normals(scan.scan, index, scan.T_design_scan), index,
                 scan.T_design_scan);
}

TEST(BenchLevel, SeenThroughAHoleIsNoFaceThatGoesOnIntoIt) {
  // It does not run on beyond the reach there: a good hole was proud all round by its lower edge.
  const Mesh sheet = test::plate(80, 60, 1.5, {{{20, 20}, 9.0}, {{50, 25}, 16.0}, {{60, 45}, 6.0}});
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const Deviations out = from_above(sheet, sheet, seed);
    EXPECT_LT(out.signed_mm.array().isNaN().select(0.0, out.signed_mm).maxCoeff(), 0.3) << seed;
  }
}

TEST(BenchLevel, AHoleTooSmallOverABenchStaysSo) {
  const Mesh drawn = test::plate(80, 60, 1.5, {{{20, 20}, 9.0}, {{50, 25}, 16.0}});
  const Mesh real = test::plate(80, 60, 1.5, {{{20, 20}, 9.0}, {{50, 25}, 14.0}});
  const Deviations out = from_above(real, drawn, 4);
  EXPECT_NEAR(out.signed_mm.array().isNaN().select(0.0, out.signed_mm).maxCoeff(), 1.0, 0.2);
}

}  // namespace
}  // namespace trammel
