#include "trammel/judge/turn_of_round.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

using Names = std::vector<std::string>;

Names on_one_side(const decltype(Zone::shape)& shape) {
  Plan plan;
  plan.zones = {{"here", shape, {}}};
  const CellTree tree(test::bushing(), 1.0);
  return zones_on_one_side(plan, tree.cells(), {{0, 0, 10}, Eigen::Vector3d::UnitZ(), 0.01});
}

TEST(ZonesOnOneSide, AreThoseThatATurnDoesNotLayOnThemselves) {
  EXPECT_EQ(on_one_side(BoxShape{{0, -20, -1}, {20, 20, 40}}), Names{"here"});
  EXPECT_EQ(on_one_side(SphereShape{{12, 0, 20}, 3.0}), Names{"here"});
  EXPECT_EQ(on_one_side(CylinderShape{{10, 0, -1}, {10, 0, 40}, 4.0}), Names{"here"});
}

TEST(ZonesOnOneSide, AreNoneThatHoldOneEndOrTheBoreOrNothing) {
  EXPECT_EQ(on_one_side(BoxShape{{-20, -20, 12.3}, {20, 20, 40}}), Names{});
  EXPECT_EQ(on_one_side(SphereShape{{0, 0, 15}, 14.0}), Names{});
  EXPECT_EQ(on_one_side(CylinderShape{{0, 0, -1}, {0, 0, 40}, 9.0}), Names{});
  EXPECT_EQ(on_one_side(BoxShape{{50, 50, 50}, {60, 60, 60}}), Names{});
  Plan plan;
  const CellTree tree(test::bushing(), 2.0);
  EXPECT_TRUE(zones_on_one_side(plan, tree.cells(), {}).empty());
}

}  // namespace
}  // namespace trammel
