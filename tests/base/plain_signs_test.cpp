#include "trammel/base/plain_signs.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(PlainSigns, WritesTheProgramsOwnSignsInAscii) {
  EXPECT_EQ(plain_signs("25 mm\u00b2 facing \u2212X, 2.30\u00b0, \u00b10.50 mm \u00d7 5 \u2026"),
            "25 mm2 facing -X, 2.30 deg, +/-0.50 mm x 5 ...");
  EXPECT_EQ(plain_signs(""), "");
  EXPECT_EQ(plain_signs("plain"), "plain");
}

TEST(PlainSigns, LeavesLettersOfNamesAsTheyAre) {
  EXPECT_EQ(plain_signs("Gr\u00f6\u00dfe \U0001F6B2.stl"), "Gr\u00f6\u00dfe \U0001F6B2.stl");
  // The first byte of a sign alone is none.
  EXPECT_EQ(plain_signs("\xC2"), "\xC2");
}

TEST(SaysUtf8, GoesByTheFirstVariableThatIsSet) {
  EXPECT_TRUE(says_utf8(nullptr, nullptr, "en_GB.UTF-8"));
  EXPECT_TRUE(says_utf8(nullptr, "C.utf8", "C"));
  EXPECT_TRUE(says_utf8("", nullptr, "de_DE.utf-8"));
  EXPECT_FALSE(says_utf8("C", nullptr, "en_GB.UTF-8"));
  EXPECT_FALSE(says_utf8("POSIX", "C.UTF-8", "C.UTF-8"));
  EXPECT_FALSE(says_utf8(nullptr, nullptr, "de_DE.ISO-8859-1"));
  EXPECT_FALSE(says_utf8(nullptr, nullptr, nullptr));
}

}  // namespace
}  // namespace trammel
