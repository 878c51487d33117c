#include "trammel/report/openings.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

Verdict with_hole_at(const Vector3d& center) {
  Verdict verdict;
  verdict.holes.emplace_back();
  verdict.holes[0].nominal_mm = center;
  verdict.holes[0].nominal_diameter_mm = 8.0;
  return verdict;
}

/// Of 8 × 20 mm along y, in a plate that need not have it: its rims lie on the faces about it.
Verdict with_slot_at(const Vector3d& center) {
  Verdict verdict;
  verdict.slots.emplace_back();
  SlotResult& slot = verdict.slots[0];
  slot.nominal_mm = center;
  slot.along = Vector3d::UnitY();
  slot.nominal_width_mm = 8.0;
  slot.nominal_length_mm = 20.0;
  return verdict;
}

TEST(Openings, OfAHoleLieOnBothFacesOfThePlateWhereverTheCentreIsGiven) {
  const Mesh plate = test::plate(60, 40, 5, {{{20, 15}, 8.0}});
  const SurfaceRays rays(CellTree(plate, 2.0).take_cells());
  for (const double z : {1.0, 2.5, 4.0}) {
    const Opening hole = openings_of(with_hole_at({20, 15, z}), rays).at(0);
    EXPECT_NEAR((hole.drawn[0].center_mm - Vector3d(20, 15, 5)).norm(), 0.0, 1e-4);
    EXPECT_NEAR((hole.drawn[1].center_mm - Vector3d(20, 15, 0)).norm(), 0.0, 1e-4);
    EXPECT_FALSE(hole.measured);
    EXPECT_EQ(hole.found[0].center_mm, hole.drawn[0].center_mm);
  }
}

TEST(Openings, AreSeenFromBothSidesAndNotThroughACover) {
  const Mesh plate = test::plate(60, 40, 5, {{{20, 15}, 8.0}});
  const Mesh cover = test::box({0, 0, 20}, {60, 40, 25});
  const SurfaceRays rays(CellTree(test::together({plate, cover}), 2.0).take_cells());
  const Opening hole = openings_of(with_hole_at({20, 15, 2.5}), rays).at(0);
  EXPECT_DOUBLE_EQ(visible_share(hole, view_from({0, 0, -1}), rays), 1.0);
  EXPECT_DOUBLE_EQ(visible_share(hole, view_from({0, 0, 1}), rays), 0.0);
  EXPECT_EQ(facing_side(hole, view_from({0, 0, -1})), 1U);
}

TEST(Openings, OfAHoleHalfCoveredOnlyTheOpenHalfOfTheRimIsSeen) {
  const Mesh plate = test::plate(60, 40, 5, {{{20, 15}, 8.0}});
  const Mesh cover = test::box({0, 0, 20}, {20, 40, 25});
  const SurfaceRays rays(CellTree(test::together({plate, cover}), 2.0).take_cells());
  const Opening hole = openings_of(with_hole_at({20, 15, 2.5}), rays).at(0);
  const View above = view_from({0, 0, 1});
  const Eigen::Matrix3Xd ring = ring_points(hole.drawn[facing_side(hole, above)]);
  const std::vector<bool> seen = seen_ring_points(hole, above, rays);
  ASSERT_EQ(static_cast<Eigen::Index>(seen.size()), ring.cols());
  for (Eigen::Index i = 0; i < ring.cols(); ++i) {
    if (std::abs(ring(0, i) - 20.0) < 0.5) continue;  // on the cover's edge
    EXPECT_EQ(seen[static_cast<std::size_t>(i)], ring(0, i) > 20.0) << ring.col(i).transpose();
  }
}

TEST(Openings, OfAPinAreItsEndsWhereverTheCentreIsGiven) {
  std::vector<Eigen::Vector2d> circle;
  for (int i = 0; i < 48; ++i)
    circle.emplace_back(20 + 4 * std::cos(i * kPi / 24), 15 + 4 * std::sin(i * kPi / 24));
  const Mesh pin = test::extrude({circle}, 12.0);
  const SurfaceRays rays(CellTree(pin, 2.0).take_cells());
  for (const double z : {12.0, 9.0}) {
    Verdict verdict = with_hole_at({20, 15, z});
    verdict.holes[0].kind = RoundKind::Pin;
    verdict.holes[0].depth_mm = 12.0;
    verdict.holes[0].above_mm = 12.0 - z;
    verdict.holes[0].offset_mm = Vector3d(1, 0, 0);
    const Opening ends = openings_of(verdict, rays).at(0);
    EXPECT_NEAR((ends.drawn[0].center_mm - Vector3d(20, 15, 12)).norm(), 0.0, 1e-9);
    EXPECT_NEAR((ends.drawn[1].center_mm - Vector3d(20, 15, 0)).norm(), 0.0, 1e-9);
    EXPECT_NEAR((ends.found[0].center_mm - Vector3d(21, 15, 12)).norm(), 0.0, 1e-9);
    EXPECT_DOUBLE_EQ(visible_share(ends, view_from({0, 0, 1}), rays), 1.0);
  }
}

TEST(Openings, ASlotIsDrawnAsPlannedAndFoundWhereItWasMeasured) {
  const SurfaceRays rays(CellTree(test::plate(60, 40, 5), 2.0).take_cells());
  Verdict verdict = with_slot_at({30, 20, 2.5});
  EXPECT_FALSE(openings_of(verdict, rays).at(0).measured);
  SlotResult& slot = verdict.slots[0];
  slot.offset_mm = Vector3d(0.5, 0.0, 0.0);
  slot.turn_rad = 0.5 * 3.14159265358979;  // from y, about z: towards −x
  slot.width_mm = 7.0;
  slot.length_mm = 15.0;
  const Opening opening = openings_of(verdict, rays).at(0);
  EXPECT_TRUE(opening.measured);
  EXPECT_NEAR((opening.drawn[0].center_mm - Vector3d(30, 20, 5)).norm(), 0.0, 1e-4);
  EXPECT_EQ(opening.drawn[0].half_straight_mm, Vector3d(0, 6, 0));
  EXPECT_NEAR((opening.found[1].center_mm - Vector3d(30.5, 20, 0)).norm(), 0.0, 1e-4);
  EXPECT_NEAR((opening.found[1].half_straight_mm - Vector3d(-4, 0, 0)).norm(), 0.0, 1e-9);
  EXPECT_DOUBLE_EQ(opening.found[1].radius_mm, 3.5);
}

TEST(Openings, SlotsComeAfterHolesAndAFindingKnowsItsOwn) {
  const SurfaceRays rays(CellTree(test::plate(60, 40, 5), 2.0).take_cells());
  Verdict verdict = with_hole_at({10, 10, 2});
  verdict.slots = with_slot_at({30, 20, 2}).slots;
  const std::vector<Opening> openings = openings_of(verdict, rays);
  ASSERT_EQ(openings.size(), 2U);
  for (const Subject subject : {Subject::Hole, Subject::Slot}) {
    Finding finding;
    finding.subject = subject;
    EXPECT_EQ(openings[opening_at(verdict, finding)].subject, subject);
  }
}

TEST(Openings, ARingKeepsItsRadiusAndPlane) {
  const Ring ring{{1, 2, 3}, Vector3d(1, 1, 0).normalized(), 4.0, Vector3d::Zero()};
  const Eigen::Matrix3Xd points = ring_points(ring);
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Vector3d off = points.col(i) - ring.center_mm;
    EXPECT_NEAR(off.norm(), 4.0, 1e-12);
    EXPECT_NEAR(off.x() + off.y(), 0.0, 1e-12);
  }
}

TEST(Openings, ARingOfASlotKeepsItsDistanceFromTheMiddleLine) {
  const Ring ring{{1, 2, 3}, Vector3d::UnitZ(), 4.0, {0, 6, 0}};
  const Eigen::Matrix3Xd points = ring_points(ring);
  double lowest = 1e9, highest = -1e9;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Vector3d off = points.col(i) - ring.center_mm;
    const double beyond = std::max(0.0, std::abs(off.y()) - 6.0);
    EXPECT_NEAR(std::hypot(off.x(), beyond), 4.0, 1e-12);
    lowest = std::min(lowest, off.y());
    highest = std::max(highest, off.y());
  }
  EXPECT_NEAR(highest - lowest, 20.0, 0.05);
}

}  // namespace
}  // namespace trammel
