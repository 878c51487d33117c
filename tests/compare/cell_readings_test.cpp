#include "trammel/compare/cell_readings.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

const Mesh kBox = test::box({0, 0, 0}, {40, 30, 20});

/// Readings of points on the box moved along their normals by `lift(point)`.
template <typename Lift>
CellReadings readings_of(const CellTree& tree, std::size_t count, const Lift& lift,
                         const CellSettings& settings = {}) {
  const SurfaceSamples samples = sample_surface(kBox, count, Rng(6));
  Scan scan;
  scan.points_mm = samples.points_mm;
  scan.normals = samples.normals;
  for (Index i = 0; i < scan.size(); ++i) {
    scan.points_mm.col(i) += lift(Vector3d(scan.points_mm.col(i))) * samples.normals.col(i);
  }
  const SurfaceIndex index(kBox);
  const Deviations deviations =
      compare(scan, scan.normals, index, Eigen::Isometry3d::Identity(), {});
  return read_cells(kBox, tree, deviations, settings);
}

TEST(CellReadings, EveryCellOfAnEvenlyScannedBoxIsSeen) {
  const CellTree tree(kBox, 0.8);
  const CellReadings out = readings_of(tree, 25000, [](const Vector3d&) { return 0.2; });
  for (Index c = 0; c < tree.cells().size(); ++c) {
    ASSERT_EQ(out.seen[static_cast<std::size_t>(c)], 1);
    EXPECT_NEAR(out.deviation_mm[c], 0.2, 1e-9);
  }
}

TEST(CellReadings, MedianKeepsTheEdgeOfADefectSharp) {
  const CellTree tree(kBox, 0.8);
  const auto patch = [](const Vector3d& p) {
    return p.z() > 19.9 && p.x() > 10 && p.x() < 20 && p.y() > 10 && p.y() < 20 ? 1.0 : 0.0;
  };
  const CellReadings out = readings_of(tree, 25000, patch);
  double area = 0.0;
  for (Index c = 0; c < tree.cells().size(); ++c) {
    EXPECT_TRUE(out.deviation_mm[c] == out.deviation_mm[c]);
    if (out.deviation_mm[c] > 0.5) area += tree.cells().area_mm2[c];
  }
  // 100 mm²; the border of 40 mm can wander by half the scan's spacing of about 0.45 mm.
  EXPECT_NEAR(area, 100.0, 40.0 * 0.225);
}

TEST(CellReadings, UnseenCellsHoldNoNumber) {
  const CellTree tree(kBox, 1.0);
  const SurfaceSamples samples = sample_surface(kBox, 20000, Rng(6));
  std::vector<Index> upper;
  for (Index i = 0; i < samples.points_mm.cols(); ++i) {
    if (samples.normals(2, i) > -0.5) upper.push_back(i);
  }
  Scan scan;
  scan.points_mm = samples.points_mm(Eigen::all, upper);
  scan.normals = samples.normals(Eigen::all, upper);
  const SurfaceIndex index(kBox);
  const Deviations deviations =
      compare(scan, scan.normals, index, Eigen::Isometry3d::Identity(), {});
  const CellReadings out = read_cells(kBox, tree, deviations, {});
  for (Index c = 0; c < tree.cells().size(); ++c) {
    const bool below = tree.cells().normal(2, c) < -0.5;
    EXPECT_EQ(out.seen[static_cast<std::size_t>(c)] == 0, below);
    EXPECT_EQ(std::isnan(out.deviation_mm[c]), below);
  }
}

TEST(CellReadings, OneStrayMovesNoMedian) {
  const CellTree tree(kBox, 0.8);
  bool used = false;
  const auto stray = [&](const Vector3d& p) {
    if (used || p.z() < 19.9 || (p - Vector3d(20, 15, 20)).norm() > 1.0) return 0.0;
    used = true;
    return 3.0;
  };
  const CellReadings out = readings_of(tree, 25000, stray);
  ASSERT_TRUE(used);
  EXPECT_LT(out.deviation_mm.maxCoeff(), 0.01);
}

TEST(CellReadings, CellsOfMissingMaterialAreMarked) {
  const CellTree tree(kBox, 0.8);
  const SurfaceSamples samples = sample_surface(kBox, 25000, Rng(6));
  Scan scan;
  scan.points_mm = samples.points_mm;
  scan.normals = samples.normals;
  const SurfaceIndex index(kBox);
  Deviations deviations = compare(scan, scan.normals, index, Eigen::Isometry3d::Identity(), {});
  deviations.inferred.assign(deviations.reading.size(), 0);
  for (Index i = 0; i < scan.size(); ++i) {
    const Vector3d p = scan.points_mm.col(i);
    if (scan.normals(2, i) < 0.9 || p.x() > 20) continue;  // of the upper face alone
    deviations.reading[static_cast<std::size_t>(i)] = Reading::Inside;
    deviations.inferred[static_cast<std::size_t>(i)] = 1;
  }
  const CellReadings out = read_cells(kBox, tree, deviations, {});
  for (Index c = 0; c < tree.cells().size(); ++c) {
    const Vector3d p = tree.cells().center_mm.col(c);
    if (std::abs(p.x() - 20) < 1.0) continue;
    EXPECT_EQ(out.is_missing(c), tree.cells().normal(2, c) > 0.9 && p.x() < 20) << p.transpose();
  }
}

}  // namespace
}  // namespace trammel
