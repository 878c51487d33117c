#include "trammel/geometry/find_slots.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "support/shapes.hpp"
#include "support/slots.hpp"
#include "support/solid_builder.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/find_holes.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using test::PlateSlot;
using test::slotted_plate;

Eigen::Isometry3d some_motion(std::uint64_t seed) {
  Rng rng(seed);
  Eigen::Isometry3d motion(rng.rotation());
  motion.pretranslate(Vector3d(rng.uniform(-200, 200), rng.uniform(-200, 200), 30));
  return motion;
}

using Loop2 = std::vector<Vector2d>;
const Loop2 kOutline{{0, 0}, {60, 0}, {60, 40}, {0, 40}};

TEST(FindSlots, FindsCoarseAndFineOnesInAnyPose) {
  std::uint64_t seed = 1;
  for (const int segments : {8, 12, 16, 24, 36, 48, 90}) {
    for (const double length : {9.0, 12.0, 20.0, 40.0}) {
      const PlateSlot drawn{{30, 20}, 8.0, length, 25.0, segments};
      const Eigen::Isometry3d motion = some_motion(seed++);
      const FoundSlots found = find_slots(test::moved(slotted_plate(2.0, {drawn}), motion));
      EXPECT_TRUE(found.complete);
      ASSERT_EQ(found.slots.size(), 1U) << segments << " facets, " << length << " mm";
      const DesignSlot& slot = found.slots.front();
      EXPECT_LT((slot.shape.center_mm - motion * Vector3d(30, 20, 1)).norm(), 1e-6);
      EXPECT_NEAR(slot.shape.width_mm(), 8.0, 1e-6);
      EXPECT_NEAR(slot.shape.length_mm(), length, 1e-6);
      EXPECT_NEAR(slot.depth_mm(), 2.0, 1e-6);
      const double turn = 25.0 * kDegree;
      const Vector3d along = motion.linear() * Vector3d(std::cos(turn), std::sin(turn), 0);
      EXPECT_NEAR(std::abs(slot.shape.along.dot(along)), 1.0, 1e-9);
      EXPECT_NEAR(std::abs(slot.shape.axis.dot(motion.linear().col(2))), 1.0, 1e-9);
      EXPECT_TRUE(slot.is_through());
    }
  }
}

// A wall of some thousand corners is fitted to some of them, and held against them all.
TEST(FindSlots, FindsOneOfVeryManyFacets) {
  const Mesh part = test::refined(
      slotted_plate(2.0, {{{30, 20}, 8.0, 20.0, 25.0, 90}}, {{{50, 8}, 8.4, 90}}), 0.25);
  const Eigen::Isometry3d motion = some_motion(99);
  const FoundSlots found = find_slots(test::moved(part, motion));
  ASSERT_EQ(found.slots.size(), 1U);
  const DesignSlot& slot = found.slots.front();
  EXPECT_GT(slot.triangles.size(), 2000U);
  // Corners in the middle of a facet lie inside the curve by up to 2.4 µm.
  EXPECT_LT((slot.shape.center_mm - motion * Vector3d(30, 20, 1)).norm(), 1e-3);
  EXPECT_NEAR(slot.shape.width_mm(), 8.0, 5e-3);
  EXPECT_NEAR(slot.shape.length_mm(), 20.0, 5e-3);
  EXPECT_NEAR(std::abs(slot.shape.axis.dot(motion.linear().col(2))), 1.0, 1e-6);
}

TEST(FindSlots, TellsSeveralApartAndFromTheRoundHolesBesideThem) {
  const Mesh part = slotted_plate(
      3.0, {{{15, 10}, 6.0, 14.0, 0.0}, {{15, 22}, 6.0, 14.0, 0.0}, {{45, 20}, 5.0, 24.0, 90.0}},
      {{{30, 30}, 8.4, 48}, {{30, 8}, 5.0, 24}});
  const FoundSlots found = find_slots(part);
  ASSERT_EQ(found.slots.size(), 3U);
  EXPECT_EQ(nearest_slot(found.slots, {15, 10, 3}), std::size_t{0});
  EXPECT_EQ(nearest_slot(found.slots, {15, 27, 3}), std::size_t{1});
  EXPECT_EQ(nearest_slot(found.slots, {45, 31, 0}), std::size_t{2});
  EXPECT_FALSE(nearest_slot(found.slots, {30, 20, 30}));
  EXPECT_FALSE(nearest_slot({}, {0, 0, 0}));
  // And the other way round: no half cylinder is a hole.
  EXPECT_EQ(find_holes(part).holes.size(), 2U);
}

TEST(FindSlots, DirectionsAreTheSameWhicheverWayTheDesignIsWritten) {
  for (const double turn : {0.0, 180.0, 90.0, -90.0, 30.0, 210.0}) {
    const auto found = find_slots(slotted_plate(2.0, {{{30, 20}, 8.0, 20.0, turn}}));
    ASSERT_EQ(found.slots.size(), 1U);
    EXPECT_GT(found.slots[0].shape.axis.z(), 0.99);
    const Vector3d along = found.slots[0].shape.along;
    EXPECT_TRUE(along.x() > 1e-6 || (std::abs(along.x()) < 1e-6 && along.y() > 0.0));
  }
}

TEST(FindSlots, NeitherRoundHolesNorWindowsNorOvalsAreSlots) {
  const auto none = [](const Mesh& mesh) { return find_slots(mesh).slots.empty(); };
  for (const int segments : {8, 12, 24, 48, 90})
    EXPECT_TRUE(none(test::plate(60, 40, 3, {{{30, 20}, 12.0, segments}}))) << segments;
  EXPECT_TRUE(none(test::bracket()));
  EXPECT_TRUE(none(test::housing()));
  // A window with sharp corners, with rounded ones of several radii, and with bevelled ones.
  EXPECT_TRUE(none(test::extrude({kOutline, {{20, 15}, {20, 23}, {40, 23}, {40, 15}}}, 3.0)));
  for (const double radius : {1.0, 2.0, 3.0, 3.6}) {
    Loop2 window;
    const Vector2d half(10, 4);
    for (int corner = 0; corner < 4; ++corner) {
      const Vector2d sign(corner == 0 || corner == 3 ? 1 : -1, corner < 2 ? 1 : -1);
      for (int i = 0; i <= 8; ++i) {
        const double angle = kPi / 2.0 * (corner + i / 8.0);
        window.emplace_back(Vector2d(30, 20) + sign.cwiseProduct(half - Vector2d(radius, radius)) +
                            radius * Vector2d(std::cos(angle), std::sin(angle)));
      }
    }
    std::reverse(window.begin(), window.end());
    EXPECT_TRUE(none(test::extrude({kOutline, window}, 3.0))) << radius;
  }
  for (const double bevel : {1.0, 1.6, 2.3431}) {  // the last one makes ends of a regular octagon
    const double x = 10, y = 4;
    Loop2 window{{x - bevel, y},  {x, y - bevel},  {x, bevel - y},  {x - bevel, -y},
                 {bevel - x, -y}, {-x, bevel - y}, {-x, y - bevel}, {bevel - x, y}};
    for (Vector2d& p : window)
      p += Vector2d(30, 20);
    EXPECT_TRUE(none(test::extrude({kOutline, window}, 3.0))) << bevel;
  }
  // Ovals of 2 to 40 %.
  for (const double longer : {1.02, 1.05, 1.1, 1.2, 1.4}) {
    Loop2 oval;
    for (int i = 0; i < 60; ++i) {
      const double angle = -2.0 * kPi * i / 60;
      oval.emplace_back(30 + 6 * longer * std::cos(angle), 20 + 6 * std::sin(angle));
    }
    EXPECT_TRUE(none(test::extrude({kOutline, oval}, 3.0))) << longer;
  }
}

TEST(FindSlots, NeitherOuterRoundsNorFilletsNorNotchesAreSlots) {
  // A link: its outer contour is a slot's, looking outwards; with a round hole at each end.
  Loop2 outline = test::slot_loop({{30, 20}, 16.0, 60.0, 0.0, 48});
  std::reverse(outline.begin(), outline.end());
  Loop2 hole;
  for (int i = 0; i < 48; ++i)
    hole.emplace_back(52 + 4 * std::cos(-kPi * i / 24), 20 + 4 * std::sin(-kPi * i / 24));
  EXPECT_TRUE(find_slots(test::extrude({outline}, 3.0)).slots.empty());
  EXPECT_TRUE(find_slots(test::extrude({outline, hole}, 3.0)).slots.empty());
  // The same contour as the rim of a slot in it: one.
  const Loop2 slot = test::slot_loop({{30, 20}, 6.0, 40.0, 0.0, 48});
  EXPECT_EQ(find_slots(test::extrude({outline, slot}, 3.0)).slots.size(), 1U);
  // A notch open to the edge: half a slot.
  Loop2 notch{{0, 0}, {60, 0}, {60, 40}, {36, 40}};
  for (int i = 0; i <= 24; ++i)
    notch.emplace_back(30 + 6 * std::cos(-kPi * i / 24), 20 + 6 * std::sin(-kPi * i / 24));
  notch.insert(notch.end(), {{24, 40}, {0, 40}});
  EXPECT_TRUE(find_slots(test::extrude({notch}, 3.0)).slots.empty());
  // A channel with a rounded bottom: a fillet pair.
  Loop2 channel{{0, 0}, {60, 0}, {60, 20}, {40, 20}};
  for (int i = 0; i <= 12; ++i)
    channel.emplace_back(36 + 4 * std::cos(-kPi / 2 * i / 12),
                         10 + 4 * std::sin(-kPi / 2 * i / 12));
  for (int i = 0; i <= 12; ++i)
    channel.emplace_back(24 - 4 * std::sin(kPi / 2 * i / 12), 10 - 4 * std::cos(kPi / 2 * i / 12));
  channel.insert(channel.end(), {{20, 20}, {0, 20}});
  EXPECT_TRUE(find_slots(test::extrude({channel}, 8.0)).slots.empty());
}

/// A slot that ends 1 mm above the underside of a plate of 4 mm.
Mesh plate_with_pocket() {
  const Vector3d up = Vector3d::UnitZ();
  const auto lifted = [](const Loop2& loop, double z) {
    test::Loop out;
    for (const Vector2d& p : loop)
      out.emplace_back(p.x(), p.y(), z);
    return out;
  };
  test::Loop rim = lifted(test::slot_loop({{30, 20}, 8.0, 20.0, 0.0, 48}), 1.0);
  test::SolidBuilder solid;
  solid.wall(lifted(kOutline, 0.0), 4.0 * up);
  solid.face({lifted(kOutline, 0.0)}, -up);
  solid.face({rim}, up);
  solid.wall(rim, 3.0 * up);
  solid.face({lifted(kOutline, 4.0), test::shifted(rim, 3.0 * up)}, up);
  return solid.build();
}

TEST(FindSlots, KnowsABlindSlotByItsFloor) {
  const FoundSlots found = find_slots(plate_with_pocket());
  ASSERT_EQ(found.slots.size(), 1U);
  EXPECT_TRUE(found.slots[0].open_high);
  EXPECT_FALSE(found.slots[0].open_low);
  EXPECT_NEAR(found.slots[0].depth_mm(), 3.0, 1e-9);
}

TEST(FindSlots, SurvivesFloatsAndASplitMesh) {
  Mesh mesh = test::moved(slotted_plate(3.0, {{{30, 20}, 8.0, 20.0, 10.0, 60}}), some_motion(9));
  mesh.vertices_mm = mesh.vertices_mm.cast<float>().cast<double>().eval();  // as an STL holds them
  EXPECT_EQ(find_slots(mesh).slots.size(), 1U);
  const Mesh fine = test::refined(slotted_plate(3.0, {{{30, 20}, 8.0, 20.0, 10.0, 24}}), 0.7);
  ASSERT_EQ(find_slots(fine).slots.size(), 1U);
  EXPECT_NEAR(find_slots(fine).slots[0].shape.width_mm(), 8.0, 1e-6);
}

TEST(FindSlots, SurvivesTextOfSixDigits) {
  int found = 0;
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    const int segments = seed % 2 == 0 ? 96 : 48;
    Mesh mesh =
        test::moved(slotted_plate(2.0, {{{30, 20}, 4.2, 11.0, 10.0, segments}}), some_motion(seed));
    mesh.vertices_mm = mesh.vertices_mm.unaryExpr(&test::to_six_digits).eval();
    found += static_cast<int>(find_slots(mesh).slots.size());
  }
  EXPECT_EQ(found, 20);
}

TEST(FindSlots, OfNothingThereAreNone) {
  EXPECT_TRUE(find_slots(Mesh{}).slots.empty());
}

}  // namespace
}  // namespace trammel
