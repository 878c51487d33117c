#include "report/pdf_text_map.hpp"

#include <gtest/gtest.h>

#include <regex>
#include <string>

namespace trammel {
namespace {

TEST(PdfTextMap, EveryCodeButSurrogatesStandsForItselfOnce) {
  const std::string map = text_map();
  const std::regex range("<(..)00> <(..)FF> <(..)00>");
  std::size_t codes = 0;
  unsigned last = 0;
  for (std::sregex_iterator at(map.begin(), map.end(), range), end; at != end; ++at) {
    EXPECT_EQ((*at)[1], (*at)[2]);
    EXPECT_EQ((*at)[1], (*at)[3]);
    const auto high = static_cast<unsigned>(std::stoul((*at)[1], nullptr, 16));
    EXPECT_TRUE(codes == 0 || high > last);
    EXPECT_TRUE(high < 0xD8 || high > 0xDF);
    last = high;
    codes += 256;
  }
  EXPECT_EQ(codes, 65536U - 8U * 256U);
}

TEST(PdfTextMap, BlocksSayHowManyRangesTheyHoldAndHoldNoMoreThanAHundred) {
  const std::string map = text_map();
  const std::regex block("(\\d+) beginbfrange\n((?:<[^\n]*\n)*)endbfrange");
  std::size_t ranges = 0;
  for (std::sregex_iterator at(map.begin(), map.end(), block), end; at != end; ++at) {
    const std::string body = (*at)[2];
    const auto count = static_cast<std::size_t>(std::count(body.begin(), body.end(), '\n'));
    EXPECT_EQ(std::stoul((*at)[1]), count);
    EXPECT_LE(count, 100U);
    ranges += count;
  }
  EXPECT_EQ(ranges, 248U);
}

}  // namespace
}  // namespace trammel
