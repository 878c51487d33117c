#include "trammel/report/visual_order.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(VisualOrder, LeavesScriptsThatRunToTheRight) {
  EXPECT_EQ(in_visual_order(U""), U"");
  EXPECT_EQ(in_visual_order(U"Bracket 7, \u00d8 8.4"), U"Bracket 7, \u00d8 8.4");
  EXPECT_EQ(in_visual_order(U"\u652f\u67b6 \u0e44\u0e17\u0e22"),
            U"\u652f\u67b6 \u0e44\u0e17\u0e22");
}

TEST(VisualOrder, TurnsHebrewRoundWithinItsLineAndNotTheNumberInIt) {
  // Unicode annex 9: in a line to the right, a run to the left is reversed; digits keep their
  // order.
  EXPECT_EQ(in_visual_order(U"hole \u05d0\u05d1\u05d2 left"), U"hole \u05d2\u05d1\u05d0 left");
  EXPECT_EQ(in_visual_order(U"\u05d0\u05d1 12 \u05d2"), U"\u05d2 12 \u05d1\u05d0");
}

TEST(VisualOrder, JoinsArabicLetters) {
  // Beh, yeh, teh: initial, medial and final shapes of the Unicode block Arabic Presentation
  // Forms-B, from right to left.
  EXPECT_EQ(in_visual_order(U"\u0628\u064a\u062a"), U"\ufe96\ufef4\ufe91");
  // Lam and alef become one letter.
  EXPECT_EQ(in_visual_order(U"\u0644\u0627"), U"\ufefb");
}

}  // namespace
}  // namespace trammel
