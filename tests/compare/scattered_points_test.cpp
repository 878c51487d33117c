#include "trammel/compare/scattered_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/compare/compare.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A block of 60 × 40 × 20 mm, its top face scanned, with strays all about.
class ScatteredPoints : public ::testing::Test {
 protected:
  void add(const Vector3d& point, const Vector3d& normal) {
    const Index at = scan_.size();
    scan_.points_mm.conservativeResize(3, at + 1);
    scan_.normals.conservativeResize(3, at + 1);
    scan_.points_mm.col(at) = point;
    scan_.normals.col(at) = normal;
  }

  /// Of a level rectangle, anywhere on it.
  void add_face(int count, const Vector3d& low, const Vector3d& high, double nz) {
    for (int i = 0; i < count; ++i) {
      const Vector3d share(rng_.uniform(), rng_.uniform(), 0.0);
      Vector3d point = low + share.cwiseProduct(high - low);
      point.z() += 0.02 * rng_.normal();
      add(point, (Vector3d(0, 0, nz) + 0.06 * rng_.direction()).normalized());
    }
  }

  void add_strays(int count) {
    for (int i = 0; i < count; ++i) {
      const Vector3d share(rng_.uniform(), rng_.uniform(), rng_.uniform());
      add(Vector3d(-10, -10, -10) + share.cwiseProduct(Vector3d(80, 60, 40)), rng_.direction());
    }
  }

  [[nodiscard]] std::vector<std::uint8_t> scattered() const {
    const PointIndex index(scan_.points_mm);
    return scattered_points(scan_.points_mm, scan_.normals, index, {{-5, -5, -5}, {65, 45, 25}});
  }

  [[nodiscard]] static long count(const std::vector<std::uint8_t>& flags, Index from, Index to) {
    return std::count(flags.begin() + from, flags.begin() + to, 1);
  }

  Scan scan_;
  Rng rng_{7};
};

TEST_F(ScatteredPoints, StraysAreAndASurfaceAmongThemIsNot) {
  add_face(8000, {0, 0, 20}, {60, 40, 20}, 1.0);
  const Index part = scan_.size();
  add_strays(4000);
  const std::vector<std::uint8_t> out = scattered();
  EXPECT_EQ(count(out, 0, part), 0);
  // A third of them lie outside of the box.
  const Index all = scan_.size();
  EXPECT_GT(count(out, part, all), 0.5 * 4000);
}

TEST_F(ScatteredPoints, SurfaceScannedFarMoreCoarselyIsNot) {
  add_face(8000, {0, 0, 20}, {60, 40, 20}, 1.0);
  const Index coarse = scan_.size();
  add_face(400, {0, 0, 0}, {60, 40, 0}, -1.0);  // a twentieth as dense
  const Index part = scan_.size();
  add_strays(1000);
  const std::vector<std::uint8_t> out = scattered();
  EXPECT_LT(count(out, coarse, part), 0.03 * 400);
}

TEST_F(ScatteredPoints, SmallThingOfAFewPointsIsNot) {
  add_face(8000, {0, 0, 20}, {60, 40, 20}, 1.0);
  const Index thing = scan_.size();
  add_face(8, {30, 20, 23}, {32, 21, 23}, 1.0);
  const Index part = scan_.size();
  add_strays(2000);
  EXPECT_EQ(count(scattered(), thing, part), 0);
}

TEST_F(ScatteredPoints, WithoutStraysNothingIsHoweverFewThereAre) {
  add_face(8000, {0, 0, 20}, {60, 40, 20}, 1.0);
  add_face(12, {0, 0, 0}, {60, 40, 0}, -1.0);
  EXPECT_EQ(count(scattered(), 0, scan_.size()), 0);
}

// Any three points made a face seen: with the strays of a poor scan, half of an underside that no
// scanner had looked at, and a pass with coverage that was not there.
TEST_F(ScatteredPoints, StraysMakeNoFaceSeen) {
  const Mesh block = test::box({0, 0, 0}, {60, 40, 20});
  add_face(8000, {0, 0, 20}, {60, 40, 20}, 1.0);
  add_strays(4000);
  const SurfaceIndex index(block);
  const Deviations deviations = compare(scan_, scan_.normals, index, Eigen::Isometry3d::Identity());
  const CellTree tree(block, 1.0);
  const CellReadings readings = read_cells(block, tree, deviations, {0.9, 0.3});
  double seen = 0.0, below = 0.0;
  for (Index c = 0; c < tree.cells().size(); ++c) {
    if (tree.cells().normal(2, c) > -0.5) continue;
    below += tree.cells().area_mm2[c];
    if (readings.seen[static_cast<std::size_t>(c)] != 0) seen += tree.cells().area_mm2[c];
  }
  EXPECT_LT(seen, 0.03 * below);
}

}  // namespace
}  // namespace trammel
