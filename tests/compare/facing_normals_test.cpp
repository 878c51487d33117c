#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// Share of normals that look the way the design's face under their own truth looks.
double share_facing_out(const Scan& truth, const Eigen::Isometry3d& T_design_scan,
                        const Eigen::Matrix3Xd& normals, std::size_t on_part) {
  std::size_t right = 0;
  for (std::size_t i = 0; i < on_part; ++i) {
    const auto c = static_cast<Index>(i);
    right += (T_design_scan.linear() * truth.normals.col(c)).dot(normals.col(c)) > 0.0 ? 1U : 0U;
  }
  return static_cast<double>(right) / static_cast<double>(on_part);
}

TEST(FacingNormals, EstimatedNormalsOfThinSheetFaceOut) {
  test::ScannerSettings settings;
  settings.points = 40000;
  const Mesh part = test::bracket(2.0);
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(21));
  Scan bare = scan.scan;
  bare.normals.resize(3, 0);
  const SurfaceIndex index(part);
  const Eigen::Matrix3Xd normals = facing_normals(bare, index, scan.T_design_scan);
  // Points on the rims of 2 mm sheet see two faces at once; all others must be right.
  EXPECT_GT(share_facing_out(scan.scan, scan.T_design_scan, normals, scan.on_part), 0.98);
}

TEST(FacingNormals, SidesDoNotLeakFromFaceToFaceOfADenseScan) {
  // Dense enough for estimated normals to turn in small steps around every edge.
  test::ScannerSettings settings;
  settings.points = 75000;
  const Mesh part = test::housing();
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(1101));
  Scan bare = scan.scan;
  bare.normals.resize(3, 0);
  const SurfaceIndex index(part);
  const Eigen::Matrix3Xd normals = facing_normals(bare, index, scan.T_design_scan);
  EXPECT_GT(share_facing_out(scan.scan, scan.T_design_scan, normals, scan.on_part), 0.99);
}

/// Where chance leaves a gap in one face, the patch of the other that lies behind it is next to
/// none but points of the first, whose side it had taken: good sheet was shy by its thickness
/// there.
TEST(FacingNormals, GapsInOneFaceOfThinSheetTurnNoPatchOfTheOther) {
  const Mesh sheet = test::box({0, 0, 0}, {200, 160, 1});
  const SurfaceSamples truth = sample_surface(sheet, 52'000, Rng(6));  // 0.8 a mm²
  Scan bare;
  bare.points_mm = truth.points_mm;
  Rng rng(7);
  for (Index i = 0; i < bare.size(); ++i)
    bare.points_mm.col(i) += 0.02 * rng.normal() * truth.normals.col(i);
  const Eigen::Matrix3Xd normals =
      facing_normals(bare, SurfaceIndex(sheet), Eigen::Isometry3d::Identity());
  int wrong = 0;
  for (Index i = 0; i < bare.size(); ++i)
    wrong += truth.normals.col(i).dot(normals.col(i)) < -0.9 ? 1 : 0;
  EXPECT_EQ(wrong, 0);
}

TEST(FacingNormals, FileNormalsThatAllLookInwardsAreTurned) {
  test::ScannerSettings settings;
  settings.points = 5000;
  const Mesh part = test::bracket();
  test::VirtualScan scan = test::scan_of(part, settings, Rng(22));
  Scan turned = scan.scan;
  turned.normals *= -1.0;
  const SurfaceIndex index(part);
  const Eigen::Matrix3Xd normals = facing_normals(turned, index, scan.T_design_scan);
  EXPECT_EQ(share_facing_out(scan.scan, scan.T_design_scan, normals, scan.on_part), 1.0);
}

}  // namespace
}  // namespace trammel
