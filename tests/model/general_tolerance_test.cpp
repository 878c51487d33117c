#include "trammel/model/general_tolerance.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

const GeneralTolerance kClass{"X-m", 2.0, {{6.0, 0.1}, {30.0, std::nullopt}, {100.0, 0.3}}};

TEST(GeneralTolerance, HoldsForASizeUpToAndIncludingTheEndOfItsRange) {
  EXPECT_EQ(kClass.allowed_at(2.0), 0.1);
  EXPECT_EQ(kClass.allowed_at(6.0), 0.1);
  EXPECT_EQ(kClass.allowed_at(30.001), 0.3);
  EXPECT_EQ(kClass.allowed_at(100.0), 0.3);
}

TEST(GeneralTolerance, GivesNothingWhereTheClassGivesNone) {
  EXPECT_FALSE(kClass.allowed_at(1.999).has_value());
  EXPECT_FALSE(kClass.allowed_at(6.001).has_value());
  EXPECT_FALSE(kClass.allowed_at(100.001).has_value());
  EXPECT_FALSE(kClass.allowed_at(std::nan("")).has_value());
  EXPECT_FALSE(kClass.allowed_at(-3.0).has_value());
}

}  // namespace
}  // namespace trammel
