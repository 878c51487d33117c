/// Readings of sheet and printed walls that are pushed or bent through more than half of their
/// thickness: the way from scan to cells, with a scanner's normals, without, and as a fused mesh.

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Vector3d;
using Displacement = std::function<Vector3d(const Vector3d&)>;

enum class Kind { WithNormals, WithoutNormals, FusedMesh };
constexpr double kScanNoise_mm = 0.03;
/// A quarter of the smallest patch that a plan judges by default: a cell or two.
constexpr double kLeastPatch_mm2 = 1.0;

std::string name_of(Kind kind) {
  return kind == Kind::WithNormals      ? "with normals"
         : kind == Kind::WithoutNormals ? "without normals"
                                        : "fused mesh";
}

/// Points of a mesh scan: even, with the exact normals of its faces.
Scan fused_scan(const Mesh& real) {
  const SurfaceSamples samples = sample_surface(real, 50000, Rng(3));
  Scan scan;
  scan.points_mm = samples.points_mm;
  scan.normals = samples.normals;
  scan.from_mesh = true;
  Rng rng(4);
  for (Index i = 0; i < scan.size(); ++i)
    scan.points_mm.col(i) += kScanNoise_mm * rng.normal() * scan.normals.col(i);
  return scan;
}

Scan scan_in_place(const Mesh& real, Kind kind) {
  if (kind == Kind::FusedMesh) return fused_scan(real);
  test::ScannerSettings settings;
  settings.points = 50000;
  settings.noise_mm = kScanNoise_mm;
  settings.random_pose = false;
  settings.with_normals = kind == Kind::WithNormals;
  return test::scan_of(real, settings, Rng(7)).scan;
}

/// How far cells are from what they must read, by area.
struct CellErrors {
  double worst_mm = 0.0;   ///< where the displacement is even
  double seen_mm2 = 0.0;   ///< of those
  double asked_mm2 = 0.0;  ///< of those, seen or not
  double wrong_mm2 = 0.0;  ///< anywhere, off by more than 0.25 mm
};

/// @param is_even  design points around which the displacement is the same on a whole patch
CellErrors errors_of(const Mesh& design, const Displacement& displacement, Kind kind,
                     const std::function<bool(const Vector3d&)>& is_even) {
  const Scan scan = scan_in_place(test::displaced(test::refined(design, 1.0), displacement), kind);
  const SurfaceIndex index(design);
  const Isometry3d in_place = Isometry3d::Identity();
  const Deviations deviations =
      compare(scan, facing_normals(scan, index, in_place), index, in_place);
  const CellTree tree(design, 1.2);
  const CellReadings readings = read_cells(design, tree, deviations, {0.9, 0.5});
  CellErrors out;
  for (Index c = 0; c < tree.cells().size(); ++c) {
    const Vector3d center = tree.cells().center_mm.col(c);
    const double area_mm2 = tree.cells().area_mm2[c];
    const double truth_mm = displacement(center).dot(tree.cells().normal.col(c));
    const double error_mm = std::abs(readings.deviation_mm[c] - truth_mm);
    if (error_mm > 0.25) out.wrong_mm2 += area_mm2;
    if (!is_even(center)) continue;
    out.asked_mm2 += area_mm2;
    if (std::isnan(readings.deviation_mm[c])) continue;
    out.seen_mm2 += area_mm2;
    out.worst_mm = std::max(out.worst_mm, error_mm);
  }
  return out;
}

/// Full within half of the radius, smooth to nothing at it.
double plateau(double distance_mm, double radius_mm) {
  const double x = distance_mm / radius_mm;
  if (x >= 1.0) return 0.0;
  return x < 0.5 ? 1.0 : 0.5 * (1.0 + std::cos(2.0 * kPi * (x - 0.5)));
}

void expect_every_kind(const std::string& what, const Mesh& design,
                       const Displacement& displacement,
                       const std::function<bool(const Vector3d&)>& is_even, double wrong_mm2) {
  for (const Kind kind : {Kind::WithNormals, Kind::WithoutNormals, Kind::FusedMesh}) {
    const CellErrors errors = errors_of(design, displacement, kind, is_even);
    EXPECT_LE(errors.worst_mm, 0.1) << what << ", " << name_of(kind);
    EXPECT_GT(errors.asked_mm2, 100.0) << what;
    EXPECT_GE(errors.seen_mm2, 0.999 * errors.asked_mm2) << what << ", " << name_of(kind);
    EXPECT_LE(errors.wrong_mm2, wrong_mm2) << what << ", " << name_of(kind);
  }
}

/// A dent in the base of a bracket, 16 mm across its flat bottom: both faces go down together.
/// Cells are asked at 6 mm and less from its middle, a cell's radius inside the flat bottom. On its
/// steepest flank a median over 1.8 mm follows half a slope of up to 0.9 mm/mm: some 12 mm² of
/// ring.
void expect_dent(double thickness_mm, double depth_mm) {
  const Vector3d middle(55, 30, 0);
  const auto off = [=](const Vector3d& p) { return std::hypot(p.x() - 55, p.y() - 30); };
  expect_every_kind(
      std::to_string(depth_mm) + " mm dent in sheet of " + std::to_string(thickness_mm),
      test::bracket(thickness_mm),
      [=](const Vector3d& p) -> Vector3d {
        const bool on_base = p.z() <= thickness_mm + 0.01 && p.x() > 5;
        return on_base ? Vector3d(0, 0, -depth_mm * plateau(off(p), 16)) : Vector3d::Zero();
      },
      [=](const Vector3d& p) { return p.z() <= thickness_mm + 0.01 && p.x() > 5 && off(p) < 6.0; },
      12.0);
}

TEST(RightFace, SheetOfThreePushedByTwoReadsTwoOnBothFaces) {
  expect_dent(3.0, 2.0);
}

TEST(RightFace, ThinSheetPushedByMoreThanHalfReadsItsDepth) {
  expect_dent(1.0, 0.7);
  if (test::is_long_run()) expect_dent(1.5, 1.0);
}

TEST(RightFace, ThinSheetPushedByMoreThanItsThicknessReadsItsDepth) {
  if (test::is_long_run()) expect_dent(1.0, 1.5);
  expect_dent(1.5, 2.0);
}

TEST(RightFace, PrintedWallPushedByMostOfItsThicknessReadsItsDepth) {
  // An open frame of 0.8 mm walls; the one at y = 0 gives way, outwards and inwards.
  const Mesh frame =
      test::extrude({{{0, 0}, {60, 0}, {60, 35}, {40, 50}, {0, 50}},
                     {{0.8, 0.8}, {0.8, 49.2}, {39.6, 49.2}, {59.2, 34.6}, {59.2, 0.8}}},
                    30);
  for (const double depth_mm : test::some_of<double>({-0.7, 0.7}, 1)) {
    const auto off = [](const Vector3d& p) { return std::hypot(p.x() - 30, p.z() - 15); };
    expect_every_kind(
        "wall pushed by " + std::to_string(depth_mm), frame,
        [=](const Vector3d& p) -> Vector3d {
          return p.y() < 0.81 ? Vector3d(0, depth_mm * plateau(off(p), 13), 0) : Vector3d::Zero();
        },
        [=](const Vector3d& p) { return p.y() < 0.81 && off(p) < 5.0; }, kLeastPatch_mm2);
  }
}

// A flange that stands aside as a whole hangs together with nothing that lies in its place: only
// its own two faces tell which is which. Near its rims, rim and face of the design are truly apart
// by the offset; there 2 % of the flange (110 mm²) may be read on either.
TEST(RightFace, FlangeThatStandsAsideAsAWholeReadsItsOffset) {
  for (const double aside_mm : test::some_of<double>({-0.7, 1.5, 0.7}, 1)) {
    expect_every_kind(
        "flange of 1 mm aside by " + std::to_string(aside_mm), test::bracket(1.0),
        [=](const Vector3d& p) -> Vector3d {
          return p.x() <= 1.001 ? Vector3d(aside_mm, 0, 0) : Vector3d::Zero();
        },
        [](const Vector3d& p) {
          const bool near_hole =
              std::hypot(p.y() - 12, p.z() - 40) < 6.5 || std::hypot(p.y() - 34, p.z() - 28) < 14.5;
          return p.x() < 1.001 && p.z() > 5 && p.z() < 35 && p.y() > 4 && p.y() < 56 && !near_hole;
        },
        300.0);
  }
}

TEST(RightFace, GoodThinPartsShowNoFalseReadingAtEdgesAndCorners) {
  const auto nowhere = [](const Vector3d&) -> Vector3d { return Vector3d::Zero(); };
  const auto everywhere = [](const Vector3d&) { return true; };
  expect_every_kind("bracket of 1 mm", test::bracket(1.0), nowhere, everywhere, 0.0);
  if (test::is_long_run())
    expect_every_kind("bracket of 3 mm", test::bracket(3.0), nowhere, everywhere, 0.0);
}

}  // namespace
}  // namespace trammel
