#include "../../src/geometry/wall_search.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/shapes.hpp"
#include "support/slots.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::wall_search {
namespace {

/// Two holes of 36 facets, whose edges turn by 10°, and one of 20, whose edges turn by 18°.
Mesh three_holes() {
  return test::plate(90, 40, 3, {{{15, 20}, 8, 36}, {{45, 20}, 9, 36}, {{75, 20}, 10, 20}});
}

/// Sizes of all pieces handed over, in their order, when `takes` is asked of each.
template <typename Takes>
std::vector<std::size_t> sizes_of_pieces(const WallSeeds& seeds, WallSearch& search,
                                         const Takes& takes) {
  std::vector<std::size_t> sizes;
  EXPECT_TRUE(search.go_through([&](const WallPiece& piece) {
    sizes.push_back(piece.patch.size());
    for (const int f : piece.patch) {
      EXPECT_LT(f, seeds.all.size());
      EXPECT_NEAR(seeds.all.normals.col(f).dot(piece.crease.axis), 0.0, 1e-12);
    }
    return takes(piece);
  }));
  return sizes;
}

TEST(WallSeeds, AreTheCreasesThatLeanInwardSharpestFirst) {
  const Mesh design = three_holes();
  const WallSeeds seeds(design);
  EXPECT_EQ(seeds.all.size(), design.triangles.cols());
  EXPECT_TRUE(seeds.all.whole);
  ASSERT_EQ(seeds.creases.size(), 92U);
  for (std::size_t i = 0; i < seeds.creases.size(); ++i)
    EXPECT_NEAR(seeds.creases[i].turn_rad, (i < 20 ? 18.0 : 10.0) * kDegree, 1e-9) << i;
}

// 18° is beyond the first limit of 15°, 10° within all three, and a wider one reaches no more.
TEST(WallSearch, HandsEachWallOverOnceWhenNothingIsTaken) {
  const Mesh design = three_holes();
  const WallSeeds seeds(design);
  WallSearch search(seeds);
  const auto sizes = sizes_of_pieces(seeds, search, [](const WallPiece&) { return false; });
  EXPECT_EQ(sizes, (std::vector<std::size_t>{40, 72, 72}));
}

// Ends of 20 facets to the circle turn by 18° a facet and by 9° into the flats: within 15° a flat
// is reached and one facet beside it at either end, within 32° all 22 facets, two triangles each.
TEST(WallSearch, HandsOverWhatAWiderTurnReachesAsWell) {
  const Mesh design = test::slotted_plate(2.0, {{{30, 20}, 8.0, 20.0, 25.0, 20}});
  const WallSeeds seeds(design);
  WallSearch search(seeds);
  const auto sizes = sizes_of_pieces(seeds, search, [](const WallPiece&) { return false; });
  EXPECT_EQ(sizes, (std::vector<std::size_t>{44, 6, 6}));
}

TEST(WallSearch, NeverReturnsToAWallThatIsSettled) {
  const Mesh design = three_holes();
  const WallSeeds seeds(design);
  WallSearch search(seeds);
  std::vector<int> seen;
  const auto sizes = sizes_of_pieces(seeds, search, [&](const WallPiece& piece) {
    for (const int f : piece.patch) {
      seen.push_back(seeds.all.origin[static_cast<std::size_t>(f)]);
      search.settle(seen.back());
    }
    return true;
  });
  EXPECT_EQ(sizes, (std::vector<std::size_t>{40, 72, 72}));
  std::sort(seen.begin(), seen.end());
  EXPECT_EQ(std::adjacent_find(seen.begin(), seen.end()), seen.end());
}

// Triangles without an area are left out of `all`; what is settled is told by the design's numbers.
TEST(WallSearch, SettlesByTheNumbersOfTheDesign) {
  Mesh design = three_holes();
  const Eigen::Index count = design.triangles.cols();
  Eigen::Matrix3Xi with_flat(3, count + 1);
  with_flat << Eigen::Vector3i(0, 0, 1), design.triangles;
  design.triangles = with_flat;
  const WallSeeds seeds(design);
  ASSERT_EQ(seeds.all.size(), count);
  ASSERT_EQ(seeds.all.origin.front(), 1);
  WallSearch search(seeds);
  for (const hole_walls::Crease& crease : seeds.creases)
    search.settle(seeds.all.origin[static_cast<std::size_t>(crease.a)]);
  const auto sizes = sizes_of_pieces(seeds, search, [](const WallPiece&) { return false; });
  EXPECT_TRUE(sizes.empty());
}

TEST(WallSearch, SaysThatItWasBrokenOff) {
  const Mesh design = three_holes();
  const WallSeeds seeds(design);
  WallSearch search(seeds);
  int pieces = 0;
  const bool whole = search.go_through([&](const WallPiece&) {
    ++pieces;
    search.spend(1'000'000'000);
    return true;
  });
  EXPECT_FALSE(whole);
  EXPECT_EQ(pieces, 1);
}

TEST(WallSearch, DirectionsOfAWallGoAllTheWayRound) {
  const Mesh design = test::plate(60, 40, 3, {{{30, 20}, 8, 36}});
  const WallSeeds seeds(design);
  WallSearch search(seeds);
  const bool whole = search.go_through([&](const WallPiece& piece) {
    std::vector<double> angles = directions_rad(seeds.all, piece);
    EXPECT_EQ(angles.size(), 72U);
    std::sort(angles.begin(), angles.end());
    for (std::size_t i = 0; i + 1 < angles.size(); ++i)  // two triangles a facet
      EXPECT_NEAR(angles[i + 1] - angles[i], i % 2 == 0 ? 0.0 : 10.0 * kDegree, 1e-9);
    return false;
  });
  EXPECT_TRUE(whole);
}

TEST(WallSearch, TheSameSeedsServeHolesAndSlots) {
  const Mesh design = test::slotted_plate(2.0, {{{30, 20}, 8.0, 20.0, 25.0}}, {{{52, 8}, 6.0, 24}});
  const WallSeeds seeds(design);
  for (int round = 0; round < 2; ++round) {  // a search leaves no mark in them
    const FoundHoles holes = holes_from(seeds, {});
    const FoundSlots slots = slots_from(seeds, {});
    ASSERT_EQ(holes.holes.size(), 1U);
    EXPECT_NEAR(holes.holes[0].radius_mm, 3.0, 1e-9);
    ASSERT_EQ(slots.slots.size(), 1U);
    EXPECT_NEAR(slots.slots[0].shape.width_mm(), 8.0, 1e-9);
  }
}

}  // namespace
}  // namespace trammel::wall_search
