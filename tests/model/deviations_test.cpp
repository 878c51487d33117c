#include "trammel/model/deviations.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(Deviations, CountsEachKindOfReading) {
  Deviations deviations;
  deviations.reading = {Reading::Measured, Reading::TooFar, Reading::Measured, Reading::Inside};
  EXPECT_EQ(count_of(deviations, Reading::Measured), 2u);
  EXPECT_EQ(count_of(deviations, Reading::TooFar), 1u);
  EXPECT_EQ(count_of(deviations, Reading::Beside), 0u);
}

}  // namespace
}  // namespace trammel
