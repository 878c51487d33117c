#include "../../src/geometry/slot_patches.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

#include "support/shapes.hpp"
#include "support/slots.hpp"

namespace trammel::slot_patches {
namespace {

using Eigen::Vector3d;
using hole_walls::Patch;

NearTriangles all_of(const Mesh& design) {
  return near_triangles(design, Vector3d::Zero(), std::numeric_limits<double>::infinity());
}

/// The upright facets whose every corner lies so near to the middle line of the slot or hole.
Patch walls_within(const NearTriangles& near, const SlotShape& about, double distance_mm) {
  Patch out;
  for (int f = 0; f < near.size(); ++f) {
    bool within = std::abs(near.normals(2, f)) < 0.5;
    for (int k = 0; k < 3; ++k)
      within = within && distance_to(about, near.corner(f, k)) <= distance_mm;
    if (within) out.push_back(f);
  }
  return out;
}

const test::PlateSlot kDrawn{{30, 20}, 8.0, 20.0, 0.0, 48};
const SlotShape kShape{{30, 20, 1}, Vector3d::UnitZ(), Vector3d::UnitX(), 6.0, 4.0};

TEST(SlotPatches, TheWallOfASlotGivesItInWhateverOrder) {
  const NearTriangles near = all_of(test::slotted_plate(2.0, {kDrawn}));
  Patch patch = walls_within(near, kShape, 0.1);
  ASSERT_EQ(patch.size(), 100U);  // 2 × 24 facets of the ends, 2 flats
  const auto slot = slot_of(near, patch, {});
  ASSERT_TRUE(slot);
  EXPECT_LT((slot->shape.center_mm - kShape.center_mm).norm(), 1e-9);
  EXPECT_NEAR(slot->shape.width_mm(), 8.0, 1e-9);
  EXPECT_NEAR(slot->shape.length_mm(), 20.0, 1e-9);
  EXPECT_NEAR(slot->depth_mm(), 2.0, 1e-9);
  EXPECT_TRUE(slot->is_through());
  std::reverse(patch.begin(), patch.end());
  const auto again = slot_of(near, patch, {});
  ASSERT_TRUE(again);
  EXPECT_EQ(again->triangles, slot->triangles);
  EXPECT_EQ(again->shape.center_mm, slot->shape.center_mm);
  EXPECT_EQ(again->shape.radius_mm, slot->shape.radius_mm);
}

TEST(SlotPatches, TrianglesAreNumberedAsInTheDesign) {
  Mesh design = test::slotted_plate(2.0, {kDrawn});
  Eigen::Matrix3Xi with_flat(3, design.triangles.cols() + 2);
  with_flat << Eigen::Matrix<int, 3, 2>::Zero(), design.triangles;
  design.triangles = with_flat;  // two without an area stand first
  const NearTriangles near = all_of(design);
  const Patch patch = walls_within(near, kShape, 0.1);
  const auto slot = slot_of(near, patch, {});
  ASSERT_TRUE(slot);
  ASSERT_EQ(slot->triangles.size(), patch.size());
  for (std::size_t i = 0; i < patch.size(); ++i)
    EXPECT_EQ(slot->triangles[i], patch[i] + 2);
}

TEST(SlotPatches, LetsGoOfAStepThatIsHardlyWider) {
  // The slot, and in the same patch the wall of another 0.6 mm wider, 2 mm above it.
  const Mesh slot_plate = test::slotted_plate(2.0, {kDrawn});
  Eigen::Isometry3d up = Eigen::Isometry3d::Identity();
  up.translation().z() = 2.0;
  const Mesh wider = test::moved(test::slotted_plate(0.4, {{{30, 20}, 8.6, 20.6, 0.0, 48}}), up);
  const NearTriangles near = all_of(test::together({slot_plate, wider}));
  const Patch both = walls_within(near, kShape, 0.4);
  ASSERT_EQ(both.size(), 200U);
  const auto found = slot_of(near, both, {});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->triangles.size(), 100U);
}

TEST(SlotPatches, APartOfAWallOrARoundWallIsNone) {
  const NearTriangles near = all_of(test::slotted_plate(2.0, {kDrawn}, {{{52, 32}, 8.0, 48}}));
  Patch wall = walls_within(near, kShape, 0.1);
  ASSERT_TRUE(slot_of(near, wall, {}));
  const auto drop = [&](const auto& is_dropped) {
    Patch rest;
    for (const int f : wall) {
      const Vector3d middle = (near.corner(f, 0) + near.corner(f, 1) + near.corner(f, 2)) / 3.0;
      if (!is_dropped(middle)) rest.push_back(f);
    }
    EXPECT_LT(rest.size(), wall.size());
    return rest;
  };
  const auto half = drop([](const Vector3d& at) { return at.x() > 30.0; });
  const auto end = drop([](const Vector3d& at) { return at.x() > 37.0; });
  const auto quarter = drop([](const Vector3d& at) { return at.x() > 36.5 && at.y() > 20.0; });
  const auto flat = drop([](const Vector3d& at) { return at.y() > 23.99; });
  for (const Patch& part : {half, end, quarter, flat, Patch{}, Patch{wall.front()}})
    EXPECT_FALSE(slot_of(near, part, {})) << part.size();
  const SlotShape round{{52, 32, 1}, Vector3d::UnitZ(), Vector3d::UnitX(), 0.0, 4.0};
  const Patch hole = walls_within(near, round, 0.1);
  ASSERT_EQ(hole.size(), 96U);
  EXPECT_FALSE(slot_of(near, hole, {}));
}

TEST(SlotPatches, KeepToTheSettings) {
  const NearTriangles near = all_of(test::slotted_plate(2.0, {kDrawn}));
  const Patch patch = walls_within(near, kShape, 0.1);
  FindSlotsSettings longer;
  longer.least_straight = 3.01;  // it is 12 mm straight of a radius of 4
  EXPECT_FALSE(slot_of(near, patch, longer));
  longer.least_straight = 2.99;
  EXPECT_TRUE(slot_of(near, patch, longer));
}

}  // namespace
}  // namespace trammel::slot_patches
