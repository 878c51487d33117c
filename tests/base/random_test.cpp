#include "trammel/base/random.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <functional>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

constexpr int kDraws = 20000;

/// Mean of a quantity over many draws is expected within five of its standard errors.
void expect_mean(double expected, double stddev_of_one, const std::function<double()>& draw) {
  double sum = 0.0;
  for (int i = 0; i < kDraws; ++i)
    sum += draw();
  EXPECT_NEAR(sum / kDraws, expected, 5.0 * stddev_of_one / std::sqrt(double{kDraws}));
}

TEST(Rng, FollowsTheEngineOfTheStandard) {
  // ISO C++ 17, [rand.predef]: the 10000th value of mt19937_64 with the seed 5489.
  Rng rng(5489);
  for (int i = 0; i < 9999; ++i)
    rng.uniform();
  EXPECT_EQ(rng.uniform(), static_cast<double>(9981545732273789042ULL >> 11) * 0x1.0p-53);
}

TEST(Rng, StreamsDependOnSeedAndNameAlone) {
  Rng used(7);
  used.uniform();
  EXPECT_EQ(used.stream("align").uniform(), Rng(7).stream("align").uniform());
  EXPECT_NE(Rng(7).stream("align").uniform(), Rng(7).stream("alien").uniform());
  EXPECT_NE(Rng(7).stream("align").uniform(), Rng(8).stream("align").uniform());
  EXPECT_NE(Rng(7).stream("").uniform(), Rng(7).uniform());
}

TEST(Rng, UniformFillsItsRange) {
  Rng rng(1);
  expect_mean(0.5, std::sqrt(1.0 / 12.0), [&] { return rng.uniform(); });
  for (int i = 0; i < kDraws; ++i) {
    const double value = rng.uniform(-3.0, 5.0);
    ASSERT_GE(value, -3.0);
    ASSERT_LT(value, 5.0);
  }
}

TEST(Rng, IndexReachesEveryPlaceAboutEquallyOften) {
  Rng rng(2);
  std::array<int, 5> counts{};
  for (int i = 0; i < kDraws; ++i)
    ++counts.at(rng.index(5));
  for (const int count : counts)
    EXPECT_NEAR(count, kDraws / 5, 5.0 * std::sqrt(kDraws * 0.2 * 0.8));
}

TEST(Rng, NormalHasMeanVarianceAndTailsOfTheNormalDistribution) {
  Rng rng(3);
  expect_mean(0.0, 1.0, [&] { return rng.normal(); });
  expect_mean(1.0, std::sqrt(2.0), [&] { return std::pow(rng.normal(), 2); });
  // Φ⁻¹(0.975) = 1.959964: one value in twenty lies beyond.
  expect_mean(0.05, std::sqrt(0.05 * 0.95),
              [&] { return std::abs(rng.normal()) > 1.959964 ? 1.0 : 0.0; });
}

TEST(Rng, DirectionIsUniformOnTheSphere) {
  // Archimedes: each coordinate is uniform in [−1, 1]; the variance of its square is 1/5 − 1/9.
  Rng rng(4);
  for (int axis = 0; axis < 3; ++axis) {
    expect_mean(0.0, std::sqrt(1.0 / 3.0), [&] { return rng.direction()[axis]; });
    expect_mean(1.0 / 3.0, std::sqrt(4.0 / 45.0),
                [&] { return std::pow(rng.direction()[axis], 2); });
  }
  EXPECT_NEAR(rng.direction().norm(), 1.0, 1e-15);
}

TEST(Rng, RotationIsUniform) {
  // Every column of a uniform rotation is a uniform direction, and the angle has the density
  // (1 − cos θ) / π: below a right angle lie (π/2 − 1) / π of all.
  Rng rng(5);
  for (int k = 0; k < 9; ++k) {
    const auto entry = [&] { return rng.rotation().toRotationMatrix()(k / 3, k % 3); };
    expect_mean(0.0, std::sqrt(1.0 / 3.0), entry);
    expect_mean(1.0 / 3.0, std::sqrt(4.0 / 45.0), [&] { return std::pow(entry(), 2); });
  }
  const double share = (kPi / 2.0 - 1.0) / kPi;
  expect_mean(share, std::sqrt(share * (1.0 - share)),
              [&] { return std::abs(rng.rotation().w()) > std::sqrt(0.5) ? 1.0 : 0.0; });
  EXPECT_NEAR(rng.rotation().norm(), 1.0, 1e-15);
}

}  // namespace
}  // namespace trammel
