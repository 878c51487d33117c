#include "trammel/base/poisson.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

// Of a mean of 2, P(N ≥ 5) = 1 − 0.94735; of 0.5, P(N ≥ 1) = 1 − e^(−0.5) (tables of the Poisson
// distribution).
TEST(LogAsMany, AgreesWithTables) {
  EXPECT_NEAR(std::exp(log_as_many(5, 2.0)), 0.05265, 5e-6);
  EXPECT_NEAR(std::exp(log_as_many(1, 0.5)), 0.39347, 5e-6);
  EXPECT_EQ(log_as_many(1, 2.0), 0.0);  // the mean or less is no feat
  EXPECT_EQ(log_as_many(0, 2.0), 0.0);
  EXPECT_LT(log_as_many(1, 0.0), -600.0);
}

// Of a mean of 5, P(N ≤ 1) = 6 e^(−5) = 0.04043 (the same tables).
TEST(LogAsFew, AgreesWithTables) {
  EXPECT_NEAR(std::exp(log_as_few(1, 5.0)), 0.04043, 5e-6);
  EXPECT_NEAR(log_as_few(0, 3.0), -3.0, 1e-12);
  EXPECT_EQ(log_as_few(3, 2.0), 0.0);
}

}  // namespace
}  // namespace trammel
