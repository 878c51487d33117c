#include "trammel/base/text.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(EditDistance, MatchesKnownPairs) {
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3u);  // the usual example: k→s, e→i, +g
  EXPECT_EQ(edit_distance("saturday", "sunday"), 3u);
  EXPECT_EQ(edit_distance("", "band"), 4u);
  EXPECT_EQ(edit_distance("band", ""), 4u);
  EXPECT_EQ(edit_distance("band", "band"), 0u);
  EXPECT_EQ(edit_distance("chekc", "check"), 1u);  // k and c swapped
  EXPECT_EQ(edit_distance("ca", "abc"), 3u);       // swapped letters are not touched again
}

TEST(DidYouMean, OffersTheNearestWord) {
  EXPECT_EQ(did_you_mean("chekc", {"check", "look"}), ", did you mean 'check'?");
  EXPECT_EQ(did_you_mean("bands", {"zone", "band", "hole"}), ", did you mean 'band'?");
  EXPECT_EQ(did_you_mean("uncertanty", {"units", "uncertainty"}), ", did you mean 'uncertainty'?");
}

TEST(DidYouMean, IsSilentWhenNothingIsNear) {
  EXPECT_EQ(did_you_mean("colour", {"zone", "band"}), "");
  EXPECT_EQ(did_you_mean("x", {}), "");
}

TEST(Named, DoesNotSayAWordTwiceThatTheNameBeginsWith) {
  EXPECT_EQ(named("hole", "A"), "hole A");
  EXPECT_EQ(named("hole", "hole 33"), "hole 33");
  EXPECT_EQ(named("hole", "Hole left"), "Hole left");
  EXPECT_EQ(named("hole", "holes of the lid"), "hole holes of the lid");
  EXPECT_EQ(named("hole", ""), "hole ");
}

TEST(Printable, KeepsWellFormedText) {
  EXPECT_EQ(printable("Halter, 3 mm \u00FC \u2212 \U0001F6B2"),
            "Halter, 3 mm \u00FC \u2212 \U0001F6B2");
  EXPECT_EQ(printable(""), "");
}

TEST(Printable, ReplacesControlCharacters) {
  EXPECT_EQ(printable("a\nb\x1B[31m"), "a\uFFFDb\uFFFD[31m");
  EXPECT_EQ(printable("\x7F"), "\uFFFD");
  EXPECT_EQ(printable("\u0085"), "\uFFFD");  // a control character of two bytes
}

TEST(Printable, ReplacesWhatWritesAWordTheOtherWayRound) {
  // Boucher & Anderson 2021: "txt.exe" behind U+202E reads as "exe.txt".
  EXPECT_EQ(printable("part\u202Etxt.ply"), "part\uFFFDtxt.ply");
  EXPECT_EQ(printable("\u2066a\u2069\u2028b\u202A"), "\uFFFDa\uFFFD\uFFFDb\uFFFD");
  // Its neighbours stay, and so do words that run from the right by themselves.
  EXPECT_EQ(printable("\u2027\u202F\u2065\u05E9\u05DC"), "\u2027\u202F\u2065\u05E9\u05DC");
}

TEST(Printable, ReplacesWhatIsNotUtf8) {
  // RFC 3629: no overlong forms, no surrogates, nothing above U+10FFFF, no cut-off sequences.
  EXPECT_EQ(printable("\xC0\x80"), "\uFFFD\uFFFD");
  EXPECT_EQ(printable("\xED\xA0\x80"), "\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(printable("\xF5\x80\x80\x80"), "\uFFFD\uFFFD\uFFFD\uFFFD");
  EXPECT_EQ(printable("a\xE2\x88"), "a\uFFFD\uFFFD");
  EXPECT_EQ(printable("\xFC"), "\uFFFD");  // "ü" of another encoding
}

TEST(Capitals, AreOfTheTwentySixLettersOnly) {
  EXPECT_EQ(capitalised("shy by 2"), "Shy by 2");
  EXPECT_EQ(capitalised("über"), "über");
  EXPECT_EQ(capitalised(""), "");
  EXPECT_EQ(in_capitals("undecided 2ü"), "UNDECIDED 2ü");
}

TEST(Uncapitalised, MakesTheFirstLetterSmallAndNoOther) {
  EXPECT_EQ(uncapitalised("The Bolts"), "the Bolts");
  EXPECT_EQ(uncapitalised("8 bolts"), "8 bolts");
  EXPECT_EQ(uncapitalised(""), "");
}

TEST(EndsWith, IsTrueOfTheWholeEndingAlone) {
  EXPECT_TRUE(ends_with("views.png", ".png"));
  EXPECT_TRUE(ends_with("x", ""));
  EXPECT_FALSE(ends_with("png", ".png"));
  EXPECT_FALSE(ends_with("a.png.txt", ".png"));
}

}  // namespace
}  // namespace trammel
