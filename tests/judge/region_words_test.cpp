#include "trammel/judge/region_words.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(RegionWords, SayWhereHowMuchAndWhyItIsOpen) {
  Region region;
  region.id = 3;
  region.kind = RegionKind::Shy;
  region.peak_mm = -0.612;
  region.limit_mm = 0.5;
  region.area_mm2 = 12.4;
  region.zone = "seat";
  const std::string words = region_reason(region);
  for (const char* part : {"Region 3", "shy", "0.61 mm", "limit 0.50", "12 mm²", "zone 'seat'"})
    EXPECT_NE(words.find(part), std::string::npos) << words;
  EXPECT_NE(why_open(region, 0.04).find("U = 0.040"), std::string::npos);
  region.adds_up = true;
  EXPECT_NE(why_open(region, 0.04).find("small by itself"), std::string::npos);
  region.runs_into_unseen = true;
  EXPECT_NE(why_open(region, 0.04).find("not seen"), std::string::npos);
}

TEST(RegionWords, ASmallPlaceIsNotSaidToHaveNoArea) {
  Region region;
  region.area_mm2 = 0.41;
  EXPECT_NE(region_reason(region).find("over 0.4 mm²"), std::string::npos) << region_reason(region);
}

TEST(RegionWords, OfWhatIsMissingNameItAndNoDepth) {
  Region region;
  region.id = 1;
  region.peak_mm = -16.8;
  region.area_mm2 = 102.0;
  region.absence = Absence::Feature;
  EXPECT_NE(region_reason(region).find("may be missing"), std::string::npos);  // undecided
  region.outcome = Outcome::Fail;
  EXPECT_EQ(region_reason(region),
            "Region 1 at (0.0, 0.0, 0.0) is missing: what the design has there was not made, over "
            "102 mm²");
  EXPECT_EQ(absence_advice(region),
            "Make what the design has in region 1 at (0.0, 0.0, 0.0) and the part has not (102 mm² "
            "of it are missing)");
  region.absence = Absence::Hole;
  region.hole_mm = 5.02;
  EXPECT_EQ(region_reason(region),
            "Region 1 at (0.0, 0.0, 0.0) is a hole of about 5.0 mm that the design does not have");
  region.absence = Absence::Material;
  EXPECT_NE(region_reason(region).find("there is no material, over 102 mm²"), std::string::npos);
}

TEST(RegionWords, OfACutTellItsSize) {
  Region region;
  region.id = 2;
  region.outcome = Outcome::Fail;
  region.absence = Absence::Material;
  region.area_mm2 = 19.0;
  region.lacks = Box{{60, 56, 0}, {64, 60, 3}};
  EXPECT_NE(region_reason(region).find("material is cut away through the edge, over 19 mm², about "
                                       "4.0 × 4.0 × 3.0 mm along X, Y, Z"),
            std::string::npos)
      << region_reason(region);
  EXPECT_NE(absence_advice(region).find("Weld up"), std::string::npos) << absence_advice(region);
}

TEST(RegionWords, TwoMouthsAreOneHole) {
  Region upper, lower;
  upper.hole_mm = lower.hole_mm = 5.0;
  upper.center_mm = {30, 20, 6};
  lower.center_mm = {30.1, 20, 0};
  lower.normal = -upper.normal;
  EXPECT_TRUE(is_same_hole(upper, lower));
  lower.center_mm.x() = 36;
  EXPECT_FALSE(is_same_hole(upper, lower));
}

}  // namespace
}  // namespace trammel
