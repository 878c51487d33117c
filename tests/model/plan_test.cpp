#include "trammel/model/plan.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

Zone box_zone(const std::string& name, const Eigen::Vector3d& low, const Eigen::Vector3d& high,
              double over_mm) {
  return {name, BoxShape{low, high}, Band{over_mm, over_mm}};
}

TEST(Plan, HasTheDefaultsThatAreDocumented) {
  // DESIGN, "Plan": the values shown there are the defaults.
  const Plan plan;
  EXPECT_EQ(plan.design_units, Unit::Mm);
  EXPECT_EQ(plan.scan_units, Unit::Auto);
  EXPECT_FALSE(plan.uncertainty_mm.has_value());
  EXPECT_EQ(plan.coating_mm, 0.0);
  EXPECT_EQ(plan.method, AlignMethod::BestFit);
  EXPECT_EQ(plan.band.over_mm, 0.5);
  EXPECT_EQ(plan.band.under_mm, 0.5);
  EXPECT_TRUE(plan.zones.empty());
  EXPECT_TRUE(plan.holes.empty());
  EXPECT_EQ(plan.least_coverage, 0.6);
  EXPECT_EQ(plan.least_area_mm2, 4.0);
}

TEST(Unit, HasItsLengthAndName) {
  EXPECT_EQ(mm_per_unit(Unit::Mm), 1.0);
  EXPECT_EQ(mm_per_unit(Unit::Cm), 10.0);
  EXPECT_EQ(mm_per_unit(Unit::M), 1000.0);
  EXPECT_EQ(mm_per_unit(Unit::Inch), 25.4);  // exact by the international yard agreement of 1959
  EXPECT_EQ(unit_name(Unit::Inch), "in");
  EXPECT_EQ(unit_name(Unit::M), "m");
  EXPECT_EQ(unit_name(Unit::Auto), "auto");
}

TEST(AlignMethod, IsNamedAsThePlanSpellsIt) {
  EXPECT_EQ(method_name(AlignMethod::BestFit), "best-fit");
  EXPECT_EQ(method_name(AlignMethod::AsScanned), "as-scanned");
  EXPECT_EQ(method_name(AlignMethod::Pairs), "pairs");
  EXPECT_EQ(method_name(AlignMethod::Datums), "datums");
  EXPECT_EQ(datum_fit_name(DatumFit::Outer), "outer");
  EXPECT_EQ(datum_fit_name(DatumFit::LeastSquares), "least-squares");
}

TEST(Zone, HoldsThePointsOfItsBoxAndOfItsBorder) {
  const Zone zone = box_zone("face", {0, 0, -1}, {90, 60, 1}, 0.2);
  EXPECT_TRUE(zone.holds({45, 30, 0}));
  EXPECT_TRUE(zone.holds({90, 60, 1}));
  EXPECT_FALSE(zone.holds({45, 30, 1.001}));
  EXPECT_FALSE(zone.holds({-0.001, 30, 0}));
}

TEST(Zone, HoldsThePointsOfItsSphere) {
  const Zone zone{"ball", SphereShape{{1, 2, 3}, 5.0}, Band{}};
  EXPECT_TRUE(zone.holds({1, 2, 8}));
  EXPECT_TRUE(zone.holds({4, 6, 3}));
  EXPECT_FALSE(zone.holds({1, 2, 8.001}));
}

TEST(Zone, HoldsThePointsOfItsCylinder) {
  const Zone zone{"boss", CylinderShape{{1, 2, 3}, {1, 2, 13}, 4.0}, Band{}};
  EXPECT_TRUE(zone.holds({1, 2, 3}));
  EXPECT_TRUE(zone.holds({5, 2, 13}));
  EXPECT_TRUE(zone.holds({3, 4, 8}));
  EXPECT_FALSE(zone.holds({1, 2, 2.999}));
  EXPECT_FALSE(zone.holds({1, 2, 13.001}));
  EXPECT_FALSE(zone.holds({4, 5, 8}));  // √18 = 4.24 from the axis
}

TEST(Zone, OfAFaceHoldsNothingBeforeTheDesignWasLookedAt) {
  Zone zone{"face", FaceShape{{1, 2, 3}}, Band{}};
  EXPECT_FALSE(zone.holds({1, 2, 3}));
  std::get<FaceShape>(zone.shape).holds = [](const Eigen::Vector3d& p) { return p.z() > 2.0; };
  EXPECT_TRUE(zone.holds({1, 2, 3}));
  EXPECT_FALSE(zone.holds({1, 2, 1}));
}

TEST(BandAt, IsThePlansOutsideAllZones) {
  Plan plan;
  plan.band = {0.7, 0.4};
  plan.zones = {box_zone("face", {0, 0, 0}, {1, 1, 1}, 0.2)};
  const BandAt at = band_at(plan, {5, 5, 5});
  EXPECT_EQ(at.zone, nullptr);
  EXPECT_EQ(at.band.over_mm, 0.7);
  EXPECT_EQ(at.band.under_mm, 0.4);
}

TEST(BandAt, IsTheLastZonesWhereZonesOverlap) {
  Plan plan;
  plan.zones = {box_zone("first", {0, 0, 0}, {2, 2, 2}, 0.2),
                box_zone("last", {1, 1, 1}, {3, 3, 3}, 0.1)};
  ASSERT_NE(band_at(plan, {1.5, 1.5, 1.5}).zone, nullptr);
  EXPECT_EQ(band_at(plan, {1.5, 1.5, 1.5}).zone->name, "last");
  EXPECT_EQ(band_at(plan, {1.5, 1.5, 1.5}).band.over_mm, 0.1);
  EXPECT_EQ(band_at(plan, {0.5, 0.5, 0.5}).band.over_mm, 0.2);
}

TEST(Plan, TellsTheBoltedHolesOfAGroupInItsOrderAndTheirMate) {
  Plan plan;
  plan.holes.resize(4);
  for (const std::size_t i : {0U, 2U, 3U})
    plan.holes[i].bolt_mm = 8.0;
  plan.holes[2].group = "roof";
  const auto without_name = bolted_holes(plan, "");
  ASSERT_EQ(without_name.size(), 2U);
  EXPECT_EQ(without_name[0], &plan.holes[0]);
  EXPECT_EQ(without_name[1], &plan.holes[3]);
  EXPECT_EQ(bolted_holes(plan, "roof").size(), 1U);
  EXPECT_EQ(mate_of(plan, "roof"), nullptr);
  plan.mates.resize(1);
  plan.mates[0].group = "roof";
  EXPECT_EQ(mate_of(plan, "roof"), &plan.mates[0]);
  EXPECT_EQ(mate_of(plan, ""), nullptr);
}

TEST(Plan, FindsTheCheckOfAHoleAndOfASlotByItsName) {
  Plan plan;
  EXPECT_EQ(check_of(plan, "left"), nullptr);
  EXPECT_EQ(slot_check_of(plan, "left"), nullptr);
  plan.holes.resize(2);
  plan.holes[0].name = "left";
  plan.holes[1].name = "right";
  plan.slots.resize(2);
  plan.slots[0].name = "right";
  plan.slots[1].name = "long";
  EXPECT_EQ(check_of(plan, "left"), &plan.holes[0]);
  EXPECT_EQ(check_of(plan, "right"), &plan.holes[1]);  // a slot may have a hole's name
  EXPECT_EQ(slot_check_of(plan, "right"), &plan.slots[0]);
  EXPECT_EQ(slot_check_of(plan, "long"), &plan.slots[1]);
  EXPECT_EQ(check_of(plan, "long"), nullptr);
  EXPECT_EQ(slot_check_of(plan, "left"), nullptr);
  EXPECT_EQ(check_of(plan, ""), nullptr);
  EXPECT_EQ(slot_check_of(plan, "Long"), nullptr);
}

}  // namespace
}  // namespace trammel
