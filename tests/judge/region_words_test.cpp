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

}  // namespace
}  // namespace trammel
