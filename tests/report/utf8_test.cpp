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

TEST(Utf8, Utf16HasTwoUnitsBeyondTheBasicPlane) {
  // The worked example of RFC 2781, 5: U+12345 is D808 DF45.
  EXPECT_EQ(utf16_bytes(U"=\u4e2d\U00012345"), std::string("\0=\x4e\x2d\xd8\x08\xdf\x45", 8));
}

}  // namespace
}  // namespace trammel
