#include "trammel/compare/settle_readings.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/compare/compare.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

const Mesh kSmallSheet = test::box({0, 0, 0}, {40, 30, 3});

/// Points of a level rectangle, 0.5 mm apart.
void add_level(Scan& scan, double x0, double x1, double y0, double y1, double z, double nz) {
  for (double x = x0; x < x1; x += 0.5) {
    for (double y = y0; y < y1; y += 0.5) {
      const Index at = scan.size();
      scan.points_mm.conservativeResize(3, at + 1);
      scan.normals.conservativeResize(3, at + 1);
      scan.points_mm.col(at) << x, y, z;
      scan.normals.col(at) << 0, 0, nz;
    }
  }
}

Deviations compared(const Scan& scan) {
  const SurfaceIndex index(kSmallSheet);
  return compare(scan, scan.normals, index, Eigen::Isometry3d::Identity());
}

TEST(SettleReadings, FaceThatGoesOnBeyondItsEdgeIsProud) {
  Scan scan;
  add_level(scan, 0, 43, 0, 30, 3.0, 1.0);  // 3 mm too long
  const Deviations out = compared(scan);
  EXPECT_EQ(count_of(out, Reading::Measured), static_cast<std::size_t>(scan.size()));
  EXPECT_NEAR(out.signed_mm.maxCoeff(), 2.5, 1e-12);
}

TEST(SettleReadings, BenchLevelWithAFaceNobodySawIsBeside) {
  // The bench under the sheet, its normals turned down by mistake; the lower face was not scanned.
  Scan scan;
  add_level(scan, 0, 40, 0, 30, 3.0, 1.0);
  const Index part = scan.size();
  add_level(scan, 40.5, 46, 0, 30, 0.0, -1.0);
  const Deviations out = compared(scan);
  EXPECT_EQ(count_of(out, Reading::Measured), static_cast<std::size_t>(part) + 2 * 60)
      << "only the two rows within 1.25 mm of the edge may be taken for the part";
  // Eleven rows in all, the last of them beyond the reach of 5 mm.
  EXPECT_EQ(count_of(out, Reading::Beside), 8U * 60U);
}

TEST(SettleReadings, LonePointIsAStrayAndAPatchIsNot) {
  Scan scan;
  add_level(scan, 0, 40, 0, 30, 3.0, 1.0);
  const Index part = scan.size();
  add_level(scan, 10, 10.4, 10, 10.4, 5.0, 1.0);  // one point
  add_level(scan, 20, 22, 10, 12, 5.0, 1.0);      // a patch of 2 × 2 mm
  const Deviations out = compared(scan);
  EXPECT_EQ(out.reading[static_cast<std::size_t>(part)], Reading::Stray);
  EXPECT_EQ(count_of(out, Reading::Stray), 1U);
  EXPECT_NEAR(out.signed_mm[part + 1], 2.0, 1e-12);
}

}  // namespace
}  // namespace trammel
