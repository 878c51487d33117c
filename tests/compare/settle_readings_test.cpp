#include "trammel/compare/settle_readings.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

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

// Of thin sheet the eight nearest points lie on the other side, and a dent that is scanned by a few
// points reads all depths: it was taken for strays, and passed.
TEST(SettleReadings, DentOfFewPointsInThinSheetStays) {
  Scan scan;
  add_level(scan, 0, 40, 0, 30, 0.0, -1.0);
  for (double x = 1.0; x < 40.0; x += 2.0)
    for (double y = 1.0; y < 30.0; y += 2.0) {
      const double apart = std::hypot(x - 19.0, y - 15.0);
      add_level(scan, x, x + 0.1, y, y + 0.1, 3.0 - std::max(0.0, 1.2 - 0.35 * apart), 1.0);
    }
  const Deviations out = compared(scan);
  EXPECT_EQ(count_of(out, Reading::Stray), 0U);
  EXPECT_NEAR(out.signed_mm.minCoeff(), -1.2, 1e-12);
}

// Where strays are many, three of them look and read alike by chance.
TEST(SettleReadings, PointsFarFromEachOtherOverAFaceThatWasSeenAreStrays) {
  Scan scan;
  add_level(scan, 0, 40, 0, 30, 3.0, 1.0);
  const Index part = scan.size();
  for (const double x : {10.0, 16.0, 22.0})
    add_level(scan, x, x + 0.1, 15, 15.1, 7.0, 1.0);
  const Deviations out = compared(scan);
  EXPECT_EQ(count_of(out, Reading::Stray), 3U);
  EXPECT_EQ(count_of(out, Reading::Measured), static_cast<std::size_t>(part));
  // Over a face that was not seen they may be all there is of it.
  Scan bare;
  add_level(bare, 0, 40, 0, 5, 3.0, 1.0);
  for (const double x : {10.0, 16.0, 22.0})
    add_level(bare, x, x + 0.1, 25, 25.1, 7.0, 1.0);
  EXPECT_EQ(count_of(compared(bare), Reading::Stray), 0U);
}

// Where the normals of a few points at a rim come out wrong, the wall behind looks their way.
TEST(SettleReadings, FewPointsPastANearerFaceAreStraysAndAPatchIsNot) {
  Scan scan;
  add_level(scan, 0, 40, 0, 30, 3.0, 1.0);
  for (const Index wrong : {1530, 1531, 1532})
    scan.normals.col(wrong) = -Vector3d::UnitZ();
  const Deviations few = compared(scan);
  EXPECT_EQ(count_of(few, Reading::Stray), 3U) << "three beside each other, read 3 mm shy";
  EXPECT_LT(few.signed_mm.cwiseAbs().maxCoeff(), 1e-12);

  // The lower face, pushed up through the whole thickness over 5 × 5 mm.
  Scan pushed;
  add_level(pushed, 0, 40, 0, 30, 0.0, -1.0);
  for (Index i = 0; i < pushed.size(); ++i) {
    const Vector3d p = pushed.points_mm.col(i);
    if (p.x() >= 20 && p.x() < 25 && p.y() >= 10 && p.y() < 15) pushed.points_mm(2, i) = 2.9;
  }
  const Deviations patch = compared(pushed);
  EXPECT_EQ(count_of(patch, Reading::Stray), 0U);
  EXPECT_EQ((patch.signed_mm.array() < -2.8).count(), 100);
}

/// Points 0.5 mm apart of a floor y = 3 and of a wall that stands at x = 3.4 instead of 3.
Scan thick_walled_angle() {
  Scan scan;
  const auto add = [&](const Vector3d& p, const Vector3d& normal) {
    const Index at = scan.size();
    scan.points_mm.conservativeResize(3, at + 1);
    scan.normals.conservativeResize(3, at + 1);
    scan.points_mm.col(at) = p;
    scan.normals.col(at) = normal;
  };
  for (double z = 0.5; z < 20.0; z += 0.5) {
    for (double y = 3.2; y < 15.0; y += 0.5)
      add({3.4, y, z}, Vector3d::UnitX());
    for (double x = 3.6; x < 20.0; x += 0.5)
      add({x, 3.0, z}, Vector3d::UnitY());
  }
  return scan;
}

// A wall 0.4 mm too thick: where normals come out wrong in the corner, its points were read from
// the floor, their neighbours on the wall seemed to agree, and a part within its band failed.
TEST(SettleReadings, PointsOfAProudWallInTheCornerAreNotOfTheFloor) {
  const SurfaceIndex angle(
      test::extrude({{{0, 0}, {40, 0}, {40, 3}, {3, 3}, {3, 30}, {0, 30}}}, 20.0));
  Scan scan = thick_walled_angle();
  std::size_t wrong = 0;
  for (Index i = 0; i < scan.size(); ++i) {
    const Vector3d p = scan.points_mm.col(i);
    if (p.x() != 3.4 || std::abs(p.y() - 3.7) > 0.1 || std::abs(p.z() - 10.0) > 0.6) continue;
    scan.normals.col(i) = Vector3d::UnitY();
    ++wrong;
  }
  ASSERT_EQ(wrong, 3U);
  const Deviations few = compare(scan, scan.normals, angle, Eigen::Isometry3d::Identity());
  EXPECT_EQ(count_of(few, Reading::Stray), wrong);
  double most = 0.0;
  for (Index i = 0; i < few.signed_mm.size(); ++i)
    if (!std::isnan(few.signed_mm[i])) most = std::max(most, few.signed_mm[i]);
  EXPECT_NEAR(most, 0.4, 1e-12);

  // Weld that fills the corner 0.7 mm high over 2 × 2 mm is read as that.
  Scan filled = thick_walled_angle();
  for (Index i = 0; i < filled.size(); ++i) {
    Eigen::Ref<Vector3d> p = filled.points_mm.col(i);
    if (p.y() == 3.0 && p.x() < 5.5 && std::abs(p.z() - 10.0) < 1.1) p.y() = 3.7;
  }
  const Deviations weld = compare(filled, filled.normals, angle, Eigen::Isometry3d::Identity());
  EXPECT_EQ(count_of(weld, Reading::Stray), 0U);
  EXPECT_GE((weld.signed_mm.array() > 0.69).count(), 4 * 5);
}

}  // namespace
}  // namespace trammel
