#include <gtest/gtest.h>

#include "trammel/report/pdf_canvas.hpp"

namespace trammel {
namespace {

const TextStyle kStyle{10.0, false, kInk, Anchor::Start};

TEST(WrapText, EveryLineFitsItsWidth) {
  const PdfCanvas canvas("t", "");
  const std::string long_word(300, 'W');
  for (const std::string& words :
       {std::string("a bracket that holds the toolbox on the left side of the van"), long_word,
        "short " + long_word + " tail", std::string("\u2212\u2212 \u00b1 \u4e2d\U0001F600 x")}) {
    for (const std::string& line : wrapped(canvas, words, kStyle, 90.0, 4))
      EXPECT_LE(canvas.text_width(line, kStyle), 90.0) << line;
  }
}

TEST(WrapText, BreaksAtBlanksAndLosesNoWord) {
  const PdfCanvas canvas("t", "");
  const std::string words = "one two three four five six seven";
  std::string joined;
  for (const std::string& line : wrapped(canvas, words, kStyle, 70.0, 20))
    joined += (joined.empty() ? "" : " ") + line;
  EXPECT_EQ(joined, words);
}

TEST(WrapText, WhatDoesNotFitEndsInAnEllipsis) {
  const PdfCanvas canvas("t", "");
  const auto lines = wrapped(canvas, "one two three four five six seven", kStyle, 50.0, 2);
  ASSERT_EQ(lines.size(), 2U);
  EXPECT_NE(lines[1].find("\u2026"), std::string::npos);
}

TEST(WrapText, ShortNamesKeepBothEndsSoThatTheyStayApart) {
  const PdfCanvas canvas("t", "");
  const std::string left = shortened_name(canvas, "mounting hole left", kStyle, 60.0);
  const std::string right = shortened_name(canvas, "mounting hole right", kStyle, 60.0);
  EXPECT_NE(left, right);
  EXPECT_EQ(left.rfind("mou", 0), 0U) << left;
  EXPECT_EQ(left.substr(left.size() - 3), "eft") << left;
  EXPECT_LE(canvas.text_width(left, kStyle), 60.0);
  EXPECT_EQ(shortened_name(canvas, "A", kStyle, 60.0), "A");
  EXPECT_EQ(shortened_name(canvas, "", kStyle, 60.0), "");
}

TEST(WrapText, NothingIsOneEmptyLine) {
  const PdfCanvas canvas("t", "");
  EXPECT_EQ(wrapped(canvas, "", kStyle, 50.0, 3), std::vector<std::string>{""});
}

}  // namespace
}  // namespace trammel
