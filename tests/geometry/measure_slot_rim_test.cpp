#include "trammel/geometry/measure_slot_rim.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/slots.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;
using test::PlateSlot;
using test::slotted_plate;

const Vector3d kFromAbove = Vector3d(0.02, 0.01, 1.0).normalized();
const Vector3d kFromBelow = Vector3d(0.01, 0.02, -1.0).normalized();

Mesh drawn_plate(double thickness_mm = 2.0) {
  return slotted_plate(thickness_mm, {{{30, 20}, 6.6, 16.0, 0.0}});
}

MeasuredSlot slot_by_rims(const Mesh& made, const std::vector<Vector3d>& views, std::uint64_t seed,
                          const MeasureSlotRimSettings& settings = {},
                          const Mesh& drawn = drawn_plate(), std::size_t points = 30000) {
  test::ScannerSettings scanner;
  scanner.views = views;
  scanner.points = points * views.size();
  scanner.noise_mm = 0.03;
  scanner.random_pose = false;
  const Scan scan = test::scan_of(made, scanner, Rng(seed)).scan;
  const auto found = find_slots(drawn);
  if (found.slots.size() != 1) throw std::runtime_error("the drawn plate has one slot");
  return measure_slot_by_rims(drawn, scan.points_mm, scan.normals, found.slots[0], settings);
}

// Asked of a rim at 0.03 mm noise in sheet of 2 mm: width within 0.06 mm, centre within 0.1 mm.
TEST(MeasureSlotByRims, MeasuresThinSheetSeenFromStraightAbove) {
  Rng rng(1);
  for (int round = 0; round < 25; ++round) {
    const Vector2d off(rng.uniform(-0.8, 0.8), rng.uniform(-0.8, 0.8));
    const PlateSlot made{Vector2d(30, 20) + off, rng.uniform(6.0, 7.2), rng.uniform(15.0, 17.0),
                         rng.uniform(-4.0, 4.0), 90};
    const auto result = slot_by_rims(slotted_plate(rng.uniform(1.0, 3.0), {made}), {kFromAbove},
                                     100U + static_cast<unsigned>(round), {}, drawn_plate());
    ASSERT_EQ(result.status, SlotStatus::Measured) << "round " << round << ": " << result.reason;
    EXPECT_EQ(result.rims, 1);
    EXPECT_LT((result.offset_mm - Vector3d(off.x(), off.y(), 0)).norm(), 0.1) << "round " << round;
    EXPECT_NEAR(result.shape.width_mm(), made.width_mm, 0.06) << "round " << round;
    EXPECT_NEAR(result.shape.length_mm(), made.length_mm, 0.12) << "round " << round;
    EXPECT_NEAR(result.turn_rad, made.turn_deg * kDegree, 0.015) << "round " << round;
  }
}

TEST(MeasureSlotByRims, JoinsBothRimsAndFollowsALeaningWall) {
  const PlateSlot drawn{{30, 20}, 6.6, 16.0, 0.0, 90};
  const auto straight = slot_by_rims(slotted_plate(2.0, {drawn}), {kFromAbove, kFromBelow}, 21);
  ASSERT_EQ(straight.status, SlotStatus::Measured) << straight.reason;
  EXPECT_EQ(straight.rims, 2);
  EXPECT_FALSE(straight.tilted);
  EXPECT_LT(straight.worst_offset_mm, 0.1);
  Mesh leaning = slotted_plate(2.0, {drawn});
  const SlotShape about{{30, 20, 1}, Vector3d::UnitZ(), Vector3d::UnitX(), 4.7, 3.3};
  for (Index i = 0; i < leaning.vertices_mm.cols(); ++i)
    if (leaning.vertices_mm(2, i) > 1.9 && distance_to(about, leaning.vertices_mm.col(i)) < 0.1)
      leaning.vertices_mm(1, i) += 0.6;
  const auto leans = slot_by_rims(leaning, {kFromAbove, kFromBelow}, 24);
  ASSERT_EQ(leans.status, SlotStatus::Measured) << leans.reason;
  EXPECT_TRUE(leans.tilted);
  EXPECT_NEAR(leans.worst_offset_mm, 0.6, 0.1);
  EXPECT_NEAR(leans.offset_mm.y(), 0.3, 0.1);
}

TEST(MeasureSlotByRims, TakesTheCoatingOff) {
  MeasureSlotRimSettings settings;
  const PlateSlot made{{30, 20}, 6.6, 16.0, 0.0, 90};
  const double bare = slot_by_rims(slotted_plate(2.0, {made}), {kFromAbove}, 9).shape.radius_mm;
  settings.coating_mm = 0.02;
  EXPECT_NEAR(
      slot_by_rims(slotted_plate(2.0, {made}), {kFromAbove}, 9, settings).shape.radius_mm - bare,
      0.02, 1e-12);
}

TEST(MeasureSlotByRims, SaysWhenThereIsNoRimToBeSeen) {
  const auto reason = [](const MeasuredSlot& slot) {
    EXPECT_NE(slot.status, SlotStatus::Measured) << slot.shape.length_mm();
    return slot.reason;
  };
  EXPECT_EQ(reason(slot_by_rims(test::plate(60, 40, 2), {kFromAbove, kFromBelow}, 10)),
            "no rim of about its size was seen at its place");
  // A round hole, and one twice as wide.
  reason(slot_by_rims(test::plate(60, 40, 2, {{{30, 20}, 6.6}}), {kFromAbove}, 11));
  reason(slot_by_rims(slotted_plate(2.0, {{{30, 20}, 12.0, 24.0, 0.0}}), {kFromAbove}, 12));
  // Half of the face cut away: one end is not there.
  reason(slot_by_rims(
      test::extrude(
          {{{0, 0}, {31, 0}, {31, 16.7}, {24, 16.7}, {24, 23.3}, {31, 23.3}, {31, 40}, {0, 40}}},
          2.0),
      {kFromAbove}, 13));
}

TEST(HasSquareRim, OfASlotNeedsTheFlatFaceRoundBothEnds) {
  for (const int segments : {8, 24, 90}) {
    const Mesh plate = slotted_plate(2.0, {{{30, 20}, 6.6, 16.0, 20.0, segments}});
    const DesignSlot slot = find_slots(plate).slots.at(0);
    EXPECT_TRUE(has_square_rim(plate, slot, HoleEnd::High)) << segments;
    EXPECT_TRUE(has_square_rim(plate, slot, HoleEnd::Low)) << segments;
  }
  Mesh chamfered = test::refined(drawn_plate(), 0.65);
  const SlotShape shape{{30, 20, 1}, Vector3d::UnitZ(), Vector3d::UnitX(), 4.7, 3.3};
  for (Index i = 0; i < chamfered.vertices_mm.cols(); ++i) {
    const Vector3d p = chamfered.vertices_mm.col(i);
    if (p.z() < 1.99 || distance_to(shape, p) > 0.1) continue;
    const Vector2d out = arm_from_middle_line(4.7, shape.flat(p)).normalized();
    chamfered.vertices_mm.col(i).head<2>() += 0.6 * out;
  }
  const auto found = find_slots(chamfered);
  ASSERT_EQ(found.slots.size(), 1U);
  EXPECT_FALSE(has_square_rim(chamfered, found.slots[0], HoleEnd::High));
  EXPECT_TRUE(has_square_rim(chamfered, found.slots[0], HoleEnd::Low));
}

}  // namespace
}  // namespace trammel
