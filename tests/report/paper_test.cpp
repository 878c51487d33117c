#include "trammel/report/paper.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(Paper, SizesAreThoseOfTheStandardsToHalfAPoint) {
  // ISO 216: 210 × 297 mm. ANSI/ASME Y14.1: 8.5 × 11 in. A point is 1/72 in.
  EXPECT_NEAR(size_of(Paper::A4).width, 210.0 / 25.4 * 72.0, 0.5);
  EXPECT_NEAR(size_of(Paper::A4).height, 297.0 / 25.4 * 72.0, 0.5);
  EXPECT_EQ(size_of(Paper::Letter).width, 8.5 * 72.0);
  EXPECT_EQ(size_of(Paper::Letter).height, 11.0 * 72.0);
}

TEST(Paper, IsNamedInSmallLetters) {
  EXPECT_EQ(paper_named("a4"), Paper::A4);
  EXPECT_EQ(paper_named("letter"), Paper::Letter);
  EXPECT_FALSE(paper_named("A5").has_value());
}

}  // namespace
}  // namespace trammel
