#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "files_in_memory.hpp"
#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

RawGeometry raw(const Mesh& mesh) {
  RawGeometry geometry;
  geometry.points = mesh.vertices_mm;
  geometry.triangles = mesh.triangles;
  return geometry;
}

TEST(ScanFromMesh, SpreadsPointsOverTwelveTrianglesWithExactNormals) {
  const Mesh box = test::box({0, 0, 0}, {90, 60, 30});
  const Scan scan = scan_from_mesh(raw(box), "box.stl").scan;
  const double step = std::sqrt(90.0 * 90 + 60 * 60 + 30 * 30) / 300.0;
  // At least one point a square of the step; rows and columns round up by one at most.
  const double area = 2.0 * (90 * 60 + 90 * 30 + 60 * 30);
  EXPECT_GT(static_cast<double>(scan.size()), area / (step * step));
  EXPECT_LT(static_cast<double>(scan.size()), 1.1 * area / (step * step));
  EXPECT_TRUE(scan.from_mesh);
  ASSERT_TRUE(scan.has_normals());
  for (Eigen::Index i = 0; i < scan.size(); ++i) {
    const Eigen::Vector3d p = scan.points_mm.col(i), n = scan.normals.col(i);
    const Eigen::Vector3d from_center =
        (p - Eigen::Vector3d(45, 30, 15)).cwiseQuotient(Eigen::Vector3d(45, 30, 15));
    ASSERT_NEAR(from_center.cwiseAbs().maxCoeff(), 1.0, 1e-12);  // on the surface
    ASSERT_NEAR(n.norm(), 1.0, 1e-12);
    ASSERT_NEAR(n.dot(from_center), 1.0, 1e-9);  // outward, along the face's own axis
  }
}

TEST(ScanFromMesh, TakesTheSamePointsWhicheverWayTheMeshLies) {
  const Mesh part = test::housing();
  const Scan scan = scan_from_mesh(raw(part), "part.stl").scan;
  Eigen::Isometry3d motion(Rng(4).rotation());
  motion.pretranslate(Eigen::Vector3d(300.0, -70.0, 20.0));
  const Scan moved = scan_from_mesh(raw(test::moved(part, motion)), "part.stl").scan;
  ASSERT_EQ(moved.size(), scan.size());
  EXPECT_LT((motion * scan.points_mm - moved.points_mm).colwise().norm().maxCoeff(), 1e-9);
}

TEST(ScanFromMesh, LeavesNoHoleLargerThanTheStep) {
  const Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  const Scan scan = scan_from_mesh(raw(box), "box.stl").scan;
  const double step = std::sqrt(300.0) / 300.0;
  // A point of the face z = 10, and the nearest sample to it: half a step along each axis is 0.71
  // steps; rows end within half a step of the edges.
  for (double x = 0.05; x < 10.0; x += 0.37) {
    for (double y = 0.05; y < 10.0; y += 0.41) {
      double nearest = 1e9;
      for (Eigen::Index i = 0; i < scan.size(); ++i)
        nearest = std::min(nearest, (scan.points_mm.col(i) - Eigen::Vector3d(x, y, 10)).norm());
      ASSERT_LE(nearest, step) << x << " " << y;
    }
  }
}

/// A fan of slivers, as CAD makes of a flat face.
TEST(ScanFromMesh, LeavesNoTipOfASliverBare) {
  Mesh fan;
  constexpr int kSlivers = 40;
  fan.vertices_mm.resize(3, kSlivers + 2);
  fan.triangles.resize(3, kSlivers);
  fan.vertices_mm.col(0).setZero();
  for (int i = 0; i <= kSlivers; ++i)
    fan.vertices_mm.col(i + 1) << 60.0, 0.15 * i, 0.0;
  for (int i = 0; i < kSlivers; ++i)
    fan.triangles.col(i) << 0, i + 1, i + 2;
  const Scan scan = scan_from_mesh(raw(fan), "fan.stl").scan;
  for (const double x : {2.0, 10.0, 29.0, 45.0, 59.0}) {
    for (double y = 0.0; y < 0.099 * x; y += 0.1) {
      const double nearest_mm =
          (scan.points_mm.colwise() - Eigen::Vector3d(x, y, 0)).colwise().norm().minCoeff();
      ASSERT_LT(nearest_mm, 0.25) << x << " " << y;  // the step is 0.2 mm
    }
  }
}

TEST(ScanFromMesh, ALongStripIsScannedAsFinelyAsItIsWide) {
  const Scan scan = scan_from_mesh(raw(test::box({0, 0, 0}, {500, 30, 3})), "strip.stl").scan;
  EXPECT_GT(scan.size(), 150000);
  EXPECT_LT(scan.size(), 200000);
}

TEST(ScanFromMesh, TakesTheCentresOfSmallTriangles) {
  const Mesh sphere =
      test::sphere(10.0, 6);  // 81,920 triangles, sides about 0.17; the step is 0.067
  const Mesh fine = test::refined(sphere, 0.06);
  const RawScan result = scan_from_mesh(raw(fine), "sphere.ply");
  ASSERT_EQ(result.scan.size(), fine.triangles.cols());
  for (Eigen::Index i = 0; i < result.scan.size(); i += 997) {
    const Eigen::Vector3d p = result.scan.points_mm.col(i);
    // The facets of an inscribed sphere of side s ≤ 0.2 lie within s²/(2·r·√3)… < 0.003 below it.
    ASSERT_NEAR(p.norm(), 10.0, 0.003);
    ASSERT_GT(result.scan.normals.col(i).dot(p.normalized()), 0.999);
  }
}

TEST(ScanFromMesh, MendsTheWindingBeforeItTakesNormals) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  std::swap(box.triangles(1, 4), box.triangles(2, 4));
  const RawScan result = scan_from_mesh(raw(box), "box.stl");
  EXPECT_TRUE(test::any_has(result.notes, "winding of 1 triangle turned"));
  for (Eigen::Index i = 0; i < result.scan.size(); ++i) {
    ASSERT_GT(
        result.scan.normals.col(i).dot(result.scan.points_mm.col(i) - Eigen::Vector3d(5, 5, 5)),
        0.0);
  }
}

TEST(ScanFromMesh, LeavesOutTrianglesThatTouchACornerThatIsNotFinite) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  box.vertices_mm(0, 0) = std::nan("");
  const RawScan result = scan_from_mesh(raw(box), "box.stl");
  EXPECT_TRUE(test::any_has(result.notes, "not finite"));
  EXPECT_TRUE(result.scan.points_mm.allFinite());
  EXPECT_GT(result.scan.size(), 0);
}

TEST(ScanFromMesh, WidensTheStepRatherThanMakeTooManyPoints) {
  // 40 sheets of one size make 40 times the area that the box's diagonal suggests.
  std::vector<Mesh> sheets;
  for (int i = 0; i < 40; ++i)
    sheets.push_back(test::box({0, 0, i * 0.01}, {100, 100, i * 0.01 + 0.005}));
  const Scan scan = scan_from_mesh(raw(test::together(sheets)), "sheets.stl").scan;
  EXPECT_LE(scan.size(), 2'000'000 + 40 * 12);
  EXPECT_GT(scan.size(), 500'000);
}

}  // namespace
}  // namespace trammel
