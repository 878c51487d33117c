/// The seeded part of the study that `./dev prove` runs at length: a minute at most.

#include "study/pose_study.hpp"

#include <gtest/gtest.h>

#include "trammel/geometry/mesh_topology.hpp"

namespace trammel::test {
namespace {

TEST(StudyParts, AreClosedAndWoundOutward) {
  for (const Mesh& mesh : {panel(), elbow()}) {
    EXPECT_EQ((edge_neighbours(mesh).across.array() < 0).count(), 0);
    EXPECT_GT(signed_volume_mm3(mesh), 0.0);
  }
}

TEST(StudyParts, FusedScanLiesOnThePartWithinItsNoise) {
  const Mesh part = elbow();
  const SurfaceIndex index(part);
  const Scan scan = fused_scan(part, 0.03, Rng(1));
  ASSERT_TRUE(scan.has_normals());
  double squares = 0.0;
  for (Eigen::Index i = 0; i < scan.size(); ++i)
    squares += std::pow(index.nearest(scan.points_mm.col(i)).distance_mm, 2);
  // 0.03 mm of noise; edges rounded by less than a fifth of a 1 mm step add a little.
  EXPECT_NEAR(std::sqrt(squares / static_cast<double>(scan.size())), 0.03, 0.015);
}

}  // namespace
}  // namespace trammel::test
