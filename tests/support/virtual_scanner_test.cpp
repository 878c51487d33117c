#include "support/virtual_scanner.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

/// Neither noise nor pose: what is seen is where the part is.
ScannerSettings perfect(std::size_t points) {
  ScannerSettings settings;
  settings.points = points;
  settings.noise_mm = 0.0;
  settings.normal_noise_deg = 0.0;
  settings.random_pose = false;
  return settings;
}

/// Signed distance to the cube of half width `half`, right outside beside a face and inside.
double off_cube_mm(const Eigen::Vector3d& p, double half) {
  return p.cwiseAbs().maxCoeff() - half;
}

const Mesh& cube() {
  static const Mesh mesh = box({-20, -20, -20}, {20, 20, 20});
  return mesh;
}

TEST(VirtualScanner, PutsPointsExactlyOnTheSurfaceWithoutNoise) {
  const VirtualScan seen = scan_of(cube(), perfect(5000), Rng(1));
  double farthest_mm = 0.0;
  for (const Eigen::Vector3d p : seen.scan.points_mm.colwise())
    farthest_mm = std::max(farthest_mm, std::abs(off_cube_mm(p, 20.0)));
  EXPECT_LT(farthest_mm, 1e-12);  // some roundings at 20 mm, 3.6e-15 each
}

TEST(VirtualScanner, KeepsAboutAsManyPointsAsAsked) {
  for (const std::size_t wanted : {std::size_t{2000}, std::size_t{40000}}) {
    const VirtualScan seen = scan_of(bracket(), perfect(wanted), Rng(2));
    // The pilot counts some 20,000 hits (0.7 %), the scan itself 2,000 (2.2 %): 3 σ and a bit.
    EXPECT_NEAR(static_cast<double>(seen.on_part) / static_cast<double>(wanted), 1.0, 0.07);
    EXPECT_EQ(seen.scan.size(), static_cast<Eigen::Index>(seen.on_part));
  }
}

TEST(VirtualScanner, SeesEverySideOfAConvexPart) {
  const VirtualScan seen = scan_of(cube(), perfect(6000), Rng(3));
  for (int axis = 0; axis < 3; ++axis) {
    for (const double side : {-20.0, 20.0}) {
      EXPECT_GT((seen.scan.points_mm.row(axis).array() == side).count(), 500);
    }
  }
}

TEST(VirtualScanner, AddsNoiseAlongTheNormal) {
  ScannerSettings settings = perfect(30000);
  settings.noise_mm = 0.05;
  const VirtualScan seen = scan_of(cube(), settings, Rng(4));
  double squares = 0.0;
  int count = 0;
  for (const Eigen::Vector3d p : seen.scan.points_mm.colwise()) {
    const Eigen::Array3d size = p.cwiseAbs();
    if ((size > 19.0).count() != 1) continue;  // near edges the nearest face may be another one
    squares += std::pow(off_cube_mm(p, 20.0), 2);
    ++count;
  }
  // Relative error of a standard deviation: 1 / √(2n) = 0.4 %; five times that.
  EXPECT_NEAR(std::sqrt(squares / count) / 0.05, 1.0, 0.02);
}

TEST(VirtualScanner, GivesTheSameScanForTheSameSeed) {
  ScannerSettings settings;
  settings.points = 3000;
  settings.stray_share = 0.02;
  settings.bench = settings.clamp = true;
  const VirtualScan once = scan_of(bracket(), settings, Rng(5));
  const VirtualScan again = scan_of(bracket(), settings, Rng(5));
  const VirtualScan other = scan_of(bracket(), settings, Rng(6));
  EXPECT_EQ(once.scan.points_mm, again.scan.points_mm);
  EXPECT_EQ(once.scan.normals, again.scan.normals);
  EXPECT_EQ(once.T_design_scan.matrix(), again.T_design_scan.matrix());
  EXPECT_NE(once.T_design_scan.matrix(), other.T_design_scan.matrix());
}

TEST(VirtualScanner, TellsTheTruePose) {
  ScannerSettings settings = perfect(3000);
  settings.random_pose = true;
  const VirtualScan seen = scan_of(cube(), settings, Rng(7));
  EXPECT_LE(seen.T_design_scan.inverse().translation().norm(), 500.0);
  double farthest_mm = 0.0;
  for (const Eigen::Vector3d p : seen.scan.points_mm.colwise())
    farthest_mm = std::max(farthest_mm, std::abs(off_cube_mm(seen.T_design_scan * p, 20.0)));
  EXPECT_LT(farthest_mm, 1e-11);  // some roundings at 500 mm, 5.7e-14 each
}

TEST(VirtualScanner, WritesInTheUnitAsked) {
  ScannerSettings in_mm, in_inches;
  in_mm.points = in_inches.points = 2000;
  in_inches.unit_mm = 25.4;
  const VirtualScan a = scan_of(cube(), in_mm, Rng(8)), b = scan_of(cube(), in_inches, Rng(8));
  EXPECT_LT((a.scan.points_mm - 25.4 * b.scan.points_mm).cwiseAbs().maxCoeff(), 1e-12);
  EXPECT_EQ(a.T_design_scan.matrix(), b.T_design_scan.matrix());
}

TEST(VirtualScanner, DoesNotSeeWhatIsHidden) {
  // A roof over the middle of a floor, seen from straight above.
  const Mesh scene =
      together({box({-30, -30, -2}, {30, 30, 0}), box({-10, -10, 20}, {10, 10, 22})});
  ScannerSettings settings = perfect(5000);
  settings.views = {Eigen::Vector3d::UnitZ()};
  const VirtualScan seen = scan_of(scene, settings, Rng(9));
  int on_roof = 0;
  for (const Eigen::Vector3d p : seen.scan.points_mm.colwise()) {
    const bool under_roof = std::abs(p.x()) < 10.0 && std::abs(p.y()) < 10.0;
    EXPECT_DOUBLE_EQ(p.z(), under_roof ? 22.0 : 0.0);
    on_roof += under_roof ? 1 : 0;
  }
  EXPECT_NEAR(on_roof / 5000.0, 1.0 / 9.0, 0.02);
}

TEST(VirtualScanner, SeesNothingBeyondTheGrazingLimit) {
  ScannerSettings settings = perfect(5000);
  settings.views = {Eigen::Vector3d::UnitX()};
  settings.grazing_limit_deg = 60.0;
  const VirtualScan seen = scan_of(sphere(20.0, 4), settings, Rng(10));
  const double least = seen.scan.normals.row(0).minCoeff();
  EXPECT_GE(least, 0.5 - 1e-12);
  EXPECT_LT(least, 0.55);
}

TEST(VirtualScanner, TurnsNormalsByTheNoiseAsked) {
  ScannerSettings settings = perfect(20000);
  settings.views = {Eigen::Vector3d::UnitZ()};
  settings.normal_noise_deg = 3.0;
  const VirtualScan seen = scan_of(cube(), settings, Rng(11));
  const double slope = std::sqrt(
      (seen.scan.normals.row(0).array() / seen.scan.normals.row(2).array()).square().mean());
  // One direction of tilt; its relative error is 1 / √(2n) = 0.5 %, four times that.
  EXPECT_NEAR(slope / (3.0 * kDegree), 1.0, 0.02);
  EXPECT_LT((seen.scan.normals.colwise().norm().array() - 1.0).abs().maxCoeff(), 1e-14);
}

TEST(VirtualScanner, LeavesNormalsOutWhenTold) {
  ScannerSettings settings = perfect(500);
  settings.with_normals = false;
  EXPECT_FALSE(scan_of(cube(), settings, Rng(12)).scan.has_normals());
}

TEST(VirtualScanner, ListsThePartThenClutterThenStrays) {
  ScannerSettings settings = perfect(4000);
  settings.bench = true;
  settings.stray_share = 0.05;
  const VirtualScan seen = scan_of(cube(), settings, Rng(13));
  const auto on_part = static_cast<Eigen::Index>(seen.on_part);
  const auto strays = static_cast<Eigen::Index>(std::lround(0.05 * static_cast<double>(on_part)));
  const Eigen::Index on_bench = seen.scan.size() - on_part - strays;
  ASSERT_GT(on_bench, 500);
  for (Eigen::Index i = 0; i < on_part; ++i)
    ASSERT_NEAR(off_cube_mm(seen.scan.points_mm.col(i), 20.0), 0.0, 1e-12);
  for (Eigen::Index i = on_part; i < on_part + on_bench; ++i)
    ASSERT_NEAR(seen.scan.points_mm(2, i), -20.0, 1e-12);
  EXPECT_LE(seen.scan.points_mm.rightCols(strays).cwiseAbs().maxCoeff(), 40.0 + 1e-12);
  EXPECT_GT(seen.scan.points_mm.rightCols(strays).cwiseAbs().maxCoeff(), 35.0);
}

TEST(VirtualScanner, BenchHidesTheUnderside) {
  ScannerSettings settings = perfect(4000);
  settings.bench = true;
  const VirtualScan seen = scan_of(cube(), settings, Rng(14));
  const auto part = seen.scan.points_mm.leftCols(static_cast<Eigen::Index>(seen.on_part));
  EXPECT_EQ((part.row(2).array() == -20.0).count(), 0);
}

TEST(VirtualScanner, ClampHidesTheCornerThatItGrips) {
  ScannerSettings settings = perfect(4000);
  settings.clamp = true;
  const VirtualScan seen = scan_of(cube(), settings, Rng(15));
  const auto on_part = static_cast<Eigen::Index>(seen.on_part);
  // The block reaches 9 % of the diagonal, 6.2 mm, around the corner (20, 20, 20).
  const double reach_mm = 0.09 * 40.0 * std::sqrt(3.0);
  for (Eigen::Index i = 0; i < on_part; ++i)
    ASSERT_LE(seen.scan.points_mm.col(i).minCoeff(), 20.0 - reach_mm + 1e-9);
  EXPECT_GT(seen.scan.size(), on_part);
  EXPECT_GT(seen.scan.points_mm.maxCoeff(), 20.0 + reach_mm - 1e-9);
}

TEST(CornerError, IsTheWayOfTheFarthestCorner) {
  const Box around{{-1, -1, -1}, {1, 1, 1}};
  const Eigen::Isometry3d rest = Eigen::Isometry3d::Identity();
  const Eigen::Isometry3d pushed(Eigen::Translation3d(0.3, 0.0, 0.4));
  const Eigen::Isometry3d turned(Eigen::AngleAxisd(kPi, Eigen::Vector3d::UnitZ()));
  EXPECT_DOUBLE_EQ(corner_error_mm(rest, pushed, around), 0.5);
  EXPECT_NEAR(corner_error_mm(rest, turned, around), 2.0 * std::sqrt(2.0), 1e-14);
}

}  // namespace
}  // namespace trammel::test
