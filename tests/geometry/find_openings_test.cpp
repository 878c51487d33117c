#include "trammel/geometry/find_openings.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/slots.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

Mesh plate_with_both() {
  return test::slotted_plate(2.0, {{{15, 20}, 8.0, 20.0, 25.0}, {{42, 12}, 5.0, 16.0, 0.0}},
                             {{{30, 30}, 6.0, 24}, {{50, 30}, 9.0, 48}});
}

void expect_as_alone(const Mesh& design) {
  const FoundHoles holes = find_holes(design);
  const FoundSlots slots = find_slots(design);
  const FoundOpenings both = find_openings(design);
  EXPECT_EQ(both.holes.complete, holes.complete);
  EXPECT_EQ(both.slots.complete, slots.complete);
  ASSERT_EQ(both.holes.holes.size(), holes.holes.size());
  ASSERT_EQ(both.slots.slots.size(), slots.slots.size());
  for (std::size_t i = 0; i < holes.holes.size(); ++i) {
    EXPECT_EQ(both.holes.holes[i].triangles, holes.holes[i].triangles);
    EXPECT_EQ(both.holes.holes[i].center_mm, holes.holes[i].center_mm);
    EXPECT_EQ(both.holes.holes[i].radius_mm, holes.holes[i].radius_mm);
  }
  for (std::size_t i = 0; i < slots.slots.size(); ++i) {
    EXPECT_EQ(both.slots.slots[i].triangles, slots.slots[i].triangles);
    EXPECT_EQ(both.slots.slots[i].shape.center_mm, slots.slots[i].shape.center_mm);
    EXPECT_EQ(both.slots.slots[i].shape.radius_mm, slots.slots[i].shape.radius_mm);
  }
}

TEST(FindOpenings, AreThoseThatAreFoundAloneOnAnyNumberOfThreads) {
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    expect_as_alone(plate_with_both());
    expect_as_alone(test::housing());
    expect_as_alone(test::bracket());
    expect_as_alone(test::sphere(10, 2));
  }
}

TEST(FindOpenings, NoWallIsBothAHoleAndASlot) {
  const FoundOpenings found = find_openings(plate_with_both());
  ASSERT_EQ(found.holes.holes.size(), 2U);
  ASSERT_EQ(found.slots.slots.size(), 2U);
  for (const DesignHole& hole : found.holes.holes)
    for (const DesignSlot& slot : found.slots.slots)
      for (const int f : hole.triangles)
        EXPECT_FALSE(std::binary_search(slot.triangles.begin(), slot.triangles.end(), f));
}

TEST(FindOpenings, EachKeepsToItsOwnSettings) {
  FindHoleSettings no_hole;
  no_hole.least_cover_deg = 361.0;
  FindSlotsSettings no_slot;
  no_slot.least_straight = 100.0;
  const FoundOpenings slots = find_openings(plate_with_both(), no_hole);
  EXPECT_TRUE(slots.holes.holes.empty());
  EXPECT_EQ(slots.slots.slots.size(), 2U);
  const FoundOpenings holes = find_openings(plate_with_both(), {}, no_slot);
  EXPECT_EQ(holes.holes.holes.size(), 2U);
  EXPECT_TRUE(holes.slots.slots.empty());
}

TEST(FindOpenings, OfNothingThereAreNone) {
  const FoundOpenings found = find_openings(Mesh{});
  EXPECT_TRUE(found.holes.holes.empty() && found.holes.complete);
  EXPECT_TRUE(found.slots.slots.empty() && found.slots.complete);
}

}  // namespace
}  // namespace trammel
