#include "trammel/report/utf8.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(Utf8, GoesToCodePointsAndBack) {
  const std::string text = "a\u00e9\u2212\U0001F600";
  EXPECT_EQ(codes_of(text), U"a\u00e9\u2212\U0001F600");
  EXPECT_EQ(utf8_of(codes_of(text)), text);
}

TEST(Utf8, BrokenBytesBecomeReplacementCharacters) {
  EXPECT_EQ(codes_of("a\xff\xc3"), U"a\uFFFD\uFFFD");
}

TEST(Utf8, TheBasicPlaneHasNoEmoji) {
  EXPECT_EQ(basic_plane("x\U0001F600\u4e2d"), "x\uFFFD\u4e2d");
}

}  // namespace
}  // namespace trammel
