#include "trammel/model/words.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(DirectionWords, NameTheAxesThatMatter) {
  EXPECT_EQ(direction_words({2, 0, 0}), "+X");
  EXPECT_EQ(direction_words({0, -1, 1}), "\u2212Y +Z");
  EXPECT_EQ(direction_words({0.1, 0.2, -1}), "\u2212Z");
  EXPECT_EQ(direction_words({1, 1, 1}), "+X +Y +Z");
}

TEST(DirectionWords, OfNoDirectionSaySo) {
  EXPECT_EQ(direction_words({0, 0, 0}), "nowhere");
}

TEST(PlaceWords, GiveTenthsOfAMillimetre) {
  EXPECT_EQ(place_words({30, 12.54, -0.01}), "(30.0, 12.5, 0.0)");
}

TEST(DecimalsFor, GoOneFinerThanTheLimit) {
  EXPECT_EQ(decimals_for(10.0), 1);
  EXPECT_EQ(decimals_for(0.5), 2);
  EXPECT_EQ(decimals_for(0.05), 3);
  EXPECT_EQ(decimals_for(0.0), 1);
}

TEST(FormFigure, HasItsUnitAndTheDecimalsThatUCarries) {
  EXPECT_EQ(form_figure(0.1234, FormKind::Flatness, 0.05), "0.12 mm");
  EXPECT_EQ(form_figure(0.1234, FormKind::Thickness, 0.004), "0.123 mm");
  EXPECT_EQ(form_figure(1.5, FormKind::Angle, 0.002), "85.94\u00b0");
}

TEST(FormLimit, KeepsTheDigitsThatThePlanGave) {
  EXPECT_EQ(form_limit(0.2, FormKind::Parallelism), "0.20 mm");
  EXPECT_EQ(form_limit(0.025, FormKind::Flatness), "0.025 mm");
  EXPECT_EQ(form_limit(1.5707963267948966 - 0.005817764173314432, FormKind::Angle), "89.667\u00b0");
}

TEST(AbsenceWords, TellWhatIsMissing) {
  Region region;
  region.absence = Absence::Material;
  EXPECT_EQ(absence_words(region), "there is no material");
  region.absence = Absence::Feature;
  EXPECT_EQ(absence_words(region), "what the design has there was not made");
  region.absence = Absence::Hole;
  EXPECT_EQ(absence_words(region), "hole that the design does not have");
  region.hole_mm = 5.0;
  EXPECT_EQ(absence_words(region), "hole of about 5.0 mm that the design does not have");
}

}  // namespace
}  // namespace trammel
