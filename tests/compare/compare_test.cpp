#include "trammel/compare/compare.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Vector3d;

/// One point with its normal against a design.
struct One {
  Reading reading;
  double signed_mm;
};
One read_one(const Mesh& design, const Vector3d& p, const Vector3d& normal,
             CompareSettings settings = {}) {
  settings.settle = false;  // one point has no neighbours
  Scan scan;
  scan.points_mm = p;
  scan.normals = normal;
  const SurfaceIndex index(design);
  const Deviations out = compare(scan, normal, index, Isometry3d::Identity(), settings);
  return {out.reading[0], out.signed_mm[0]};
}

const Mesh kSheet = test::box({0, 0, 0}, {100, 60, 3});

TEST(Compare, SheetPushedByTwoOfThreeMillimetresReadsTwoOnBothFaces) {
  const One upper = read_one(kSheet, {50, 30, 1.0}, Vector3d::UnitZ());
  EXPECT_EQ(upper.reading, Reading::Measured);
  EXPECT_NEAR(upper.signed_mm, -2.0, 1e-12);
  const One lower = read_one(kSheet, {50, 30, -2.0}, -Vector3d::UnitZ());
  EXPECT_NEAR(lower.signed_mm, 2.0, 1e-12);
}

TEST(Compare, BenchBesideThePartIsSetAside) {
  // The table that the sheet lies on, seen from above, touches its lower edge.
  const One bench = read_one(kSheet, {102, 30, 0.0}, Vector3d::UnitZ());
  EXPECT_EQ(bench.reading, Reading::Beside);
  EXPECT_TRUE(std::isnan(bench.signed_mm));
}

TEST(Compare, FaceContinuedSidewaysIsProud) {
  // The same sheet cut 2 mm too long: its upper face goes on beyond the design's edge.
  const One longer = read_one(kSheet, {102, 30, 3.0}, Vector3d::UnitZ());
  EXPECT_EQ(longer.reading, Reading::Measured);
  EXPECT_NEAR(longer.signed_mm, 2.0, 1e-12);
}

TEST(Compare, SurfaceInsideTheMaterialSaysThatMaterialIsMissing) {
  // A block cut through: the cut face lies inside the design and faces none of it near by.
  const Mesh block = test::box({0, 0, 0}, {100, 30, 8});
  const One cut = read_one(block, {50, 15, 4.0}, Vector3d::UnitX());
  EXPECT_EQ(cut.reading, Reading::Inside);
  EXPECT_NEAR(cut.signed_mm, -4.0, 1e-12);
}

TEST(Compare, ReadsEachPointAsItReadsItAlone) {
  // Each search begins from the foot of the point before. The points jump from face to face, lie on
  // edges that triangles share, above corners, and too far off; more than two chunks of a thread.
  const Mesh design = test::bracket();
  const SurfaceIndex index(design);
  const Box box = bounding_box(design.vertices_mm);
  Rng rng(21);
  Scan scan;
  scan.points_mm.resize(3, 2500);
  scan.normals.resize(3, 2500);
  for (Index i = 0; i < 2500; ++i) {
    const auto t =
        static_cast<Index>(rng.uniform(0.0, static_cast<double>(design.triangles.cols())));
    const Vector3d a = design.vertices_mm.col(design.triangles(0, t));
    const Vector3d b = design.vertices_mm.col(design.triangles(1, t));
    const Vector3d c = design.vertices_mm.col(design.triangles(2, t));
    const double along = rng.uniform();
    const Vector3d on[] = {a + along * (b - a), a, (a + b + c) / 3.0,
                           a + (i % 80 == 3 ? 1.0 : 0.1) * box.diagonal_mm() * rng.direction()};
    scan.normals.col(i) = index.face_normal(static_cast<int>(t));
    scan.points_mm.col(i) = on[i % 4] + rng.normal() * 0.2 * scan.normals.col(i);
  }
  CompareSettings settings;
  settings.settle = false;
  const Deviations all = compare(scan, scan.normals, index, Isometry3d::Identity(), settings);
  int far = 0;
  for (Index i = 0; i < 2500; ++i) {
    Scan one;
    one.points_mm = scan.points_mm.col(i);
    one.normals = scan.normals.col(i);
    const Deviations alone = compare(one, one.normals, index, Isometry3d::Identity(), settings);
    const auto k = static_cast<std::size_t>(i);
    ASSERT_EQ(all.reading[k], alone.reading[0]) << i;
    ASSERT_EQ(all.triangle[i], alone.triangle[0]) << i;
    far += all.reading[k] == Reading::TooFar ? 1 : 0;
    if (std::isnan(alone.signed_mm[0])) {
      ASSERT_TRUE(std::isnan(all.signed_mm[i])) << i;
    } else {
      ASSERT_EQ(all.signed_mm[i], alone.signed_mm[0]) << i;
    }
  }
  EXPECT_GT(far, 20);
}

TEST(Compare, WhatIsFarBelongsToSomethingElse) {
  const One far = read_one(kSheet, {50, 30, 60}, Vector3d::UnitZ());
  EXPECT_EQ(far.reading, Reading::TooFar);
  EXPECT_TRUE(std::isnan(far.signed_mm));
}

TEST(Compare, MattingSprayIsTakenOffAlongTheNormal) {
  CompareSettings settings;
  settings.coating_mm = 0.04;
  EXPECT_NEAR(read_one(kSheet, {50, 30, 3.04}, Vector3d::UnitZ(), settings).signed_mm, 0.0, 1e-12);
  EXPECT_NEAR(read_one(kSheet, {50, 30, -0.04}, -Vector3d::UnitZ(), settings).signed_mm, 0.0,
              1e-12);
}

TEST(Compare, OpenDesignGivesNoSignAtItsBorder) {
  Mesh lidless = kSheet;
  std::vector<int> kept;
  for (int t = 0; t < 12; ++t) {
    if (area_vector(kSheet, t).z() <= 0.0) kept.push_back(t);
  }
  ASSERT_EQ(kept.size(), 10U);
  lidless.triangles = kSheet.triangles(Eigen::all, kept);
  const One one = read_one(lidless, {100.2, 30, 3.3}, Vector3d::UnitX());
  EXPECT_EQ(one.reading, Reading::BorderEdge);
  EXPECT_TRUE(std::isnan(one.signed_mm));
}

/// The end of the sheet is scanned, but not drawn: half of its points lie inside by their noise.
TEST(Compare, WhatLiesInAGapOfTheDesignIsNotInsideIt) {
  Mesh endless = kSheet;
  std::vector<int> kept;
  for (int t = 0; t < 12; ++t) {
    if (area_vector(kSheet, t).x() <= 0.0) kept.push_back(t);
  }
  ASSERT_EQ(kept.size(), 10U);
  endless.triangles = kSheet.triangles(Eigen::all, kept);
  EXPECT_EQ(read_one(endless, {99.98, 30, 1.5}, Vector3d::UnitX()).reading, Reading::BorderEdge);
  EXPECT_EQ(read_one(kSheet, {99.98, 30, 1.5}, Vector3d::UnitX()).reading, Reading::Measured);
  // Well inside the material it is known to be missing, and the faces beside the gap are measured.
  EXPECT_EQ(read_one(endless, {80, 30, 1.5}, Vector3d::UnitX()).reading, Reading::Inside);
  EXPECT_NEAR(read_one(endless, {99.9, 30, 2.9}, Vector3d::UnitZ()).signed_mm, -0.1, 1e-12);
}

TEST(Compare, GoodPartShowsNoFalseReadingAtItsEdges) {
  for (const bool with_normals : {true, false}) {
    test::ScannerSettings settings;
    settings.points = 30000;
    settings.with_normals = with_normals;
    const Mesh part = test::bracket();
    const test::VirtualScan scan = test::scan_of(part, settings, Rng(7));
    const SurfaceIndex index(part);
    const Eigen::Matrix3Xd normals = facing_normals(scan.scan, index, scan.T_design_scan);
    const Deviations out = compare(scan.scan, normals, index, scan.T_design_scan);
    std::size_t far = 0;
    for (Index i = 0; i < scan.scan.size(); ++i) {
      if (std::abs(out.signed_mm[i]) > 0.25) ++far;  // more than eight times the noise of 0.03 mm
    }
    EXPECT_EQ(far, 0U) << (with_normals ? "with normals" : "without normals");
    EXPECT_GT(count_of(out, Reading::Measured), static_cast<std::size_t>(0.995 * 30000 * 0.9));
  }
}

TEST(Compare, MovingScanAndDesignTogetherChangesNothing) {
  test::ScannerSettings settings;
  settings.points = 4000;
  const Mesh part = test::bracket();
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(9));
  Isometry3d motion = Isometry3d::Identity();
  motion.rotate(Rng(5).rotation());
  motion.pretranslate(Vector3d(100, -40, 30));
  const SurfaceIndex here(part), there(test::moved(part, motion));
  const auto a = compare(scan.scan, facing_normals(scan.scan, here, scan.T_design_scan), here,
                         scan.T_design_scan);
  const Isometry3d moved = motion * scan.T_design_scan;
  const auto b = compare(scan.scan, facing_normals(scan.scan, there, moved), there, moved);
  for (Index i = 0; i < scan.scan.size(); ++i) {
    if (std::isnan(a.signed_mm[i])) continue;
    EXPECT_NEAR(a.signed_mm[i], b.signed_mm[i], 1e-9);
  }
}

TEST(Compare, GivesTheSameBitsOnAnyNumberOfThreads) {
  test::ScannerSettings settings;
  settings.points = 8000;
  settings.with_normals = false;
  const Mesh part = test::bracket();
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(11));
  const SurfaceIndex index(part);
  std::vector<Eigen::VectorXd> results;
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    const Eigen::Matrix3Xd normals = facing_normals(scan.scan, index, scan.T_design_scan);
    results.push_back(compare(scan.scan, normals, index, scan.T_design_scan).signed_mm);
  }
  for (Index i = 0; i < scan.scan.size(); ++i) {
    if (std::isnan(results[0][i])) continue;
    EXPECT_EQ(results[0][i], results[1][i]);
    EXPECT_EQ(results[0][i], results[2][i]);
  }
}

}  // namespace
}  // namespace trammel
