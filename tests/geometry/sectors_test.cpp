#include "trammel/geometry/sectors.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(SectorOf, CountsFromMinusPiAndNeverBeyondTheLast) {
  for (int sector = 0; sector < 12; ++sector) {
    const double turn = (sector + 0.5) * 2.0 * kPi / 12.0 - kPi;
    EXPECT_EQ(sector_of(3.0 * std::cos(turn), 3.0 * std::sin(turn), 12),
              static_cast<std::size_t>(sector));
  }
  EXPECT_EQ(sector_of(-1.0, 0.0, 12), 11U);  // π, the end of the last
  EXPECT_EQ(sector_of(-1.0, -0.0, 12), 0U);  // −π
}

}  // namespace
}  // namespace trammel
