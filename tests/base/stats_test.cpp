#include "trammel/base/stats.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

RunningStats stats_of(const std::vector<double>& values) {
  RunningStats stats;
  for (const double value : values)
    stats.add(value);
  return stats;
}

/// NIST Statistical Reference Datasets, univariate, NumAcc2 to NumAcc4: c + 0.2, then 500 pairs of
/// c + 0.1 and c + 0.3. Certified: mean c + 0.2, standard deviation 0.1, both exact.
std::vector<double> numerical_accuracy_set(double low, double middle, double high) {
  std::vector<double> values{middle};
  for (int i = 0; i < 500; ++i)
    values.insert(values.end(), {low, high});
  return values;
}

TEST(RunningStats, MeetsNistNumAcc1) {
  const RunningStats stats = stats_of({10000001, 10000003, 10000002});
  EXPECT_EQ(stats.mean(), 10000002.0);
  EXPECT_EQ(stats.stddev(), 1.0);
}

TEST(RunningStats, MeetsNistNumAcc2To4) {
  // A stored c + 0.1 is off by up to half a unit in the last place of c, u(c): that alone turns the
  // deviation of 0.1 by u(c)/0.1, 2e-15, 1e-9 and 2e-8 relative; the textbook sum of squares is off
  // by 7 % on the third set and has a negative variance on the fourth.
  struct Set {
    double low, middle, high, tolerance;
  };
  for (const Set& set :
       {Set{1.1, 1.2, 1.3, 1e-13}, Set{1000000.1, 1000000.2, 1000000.3, 1.2e-10 / 0.1},
        Set{10000000.1, 10000000.2, 10000000.3, 1.9e-9 / 0.1}}) {
    const RunningStats stats = stats_of(numerical_accuracy_set(set.low, set.middle, set.high));
    EXPECT_EQ(stats.count(), 1001u);
    EXPECT_NEAR(stats.mean() / set.middle, 1.0, 1e-14);
    EXPECT_NEAR(stats.stddev() / 0.1, 1.0, set.tolerance);
  }
}

TEST(RunningStats, OfPartsAddUpToThatOfAll) {
  // The same certified sets, each cut into parts of 7 values that are added up.
  for (const auto& [low, middle, high, tolerance] :
       {std::array<double, 4>{1.1, 1.2, 1.3, 1e-13},
        std::array<double, 4>{10000000.1, 10000000.2, 10000000.3, 1.9e-8}}) {
    const std::vector<double> values = numerical_accuracy_set(low, middle, high);
    const auto at = [&](std::size_t i) { return values[i]; };
    const RunningStats stats = ordered_sum(values.size(), RunningStats(), at, 7);
    EXPECT_EQ(stats.count(), 1001u);
    EXPECT_NEAR(stats.mean() / middle, 1.0, 1e-14);
    EXPECT_NEAR(stats.stddev() / 0.1, 1.0, tolerance);
  }
}

TEST(RunningStats, HasNoSpreadBelowTwoValues) {
  EXPECT_EQ(stats_of({}).stddev(), 0.0);
  EXPECT_EQ(stats_of({5.0}).stddev(), 0.0);
  EXPECT_EQ(stats_of({5.0}).mean(), 5.0);
}

TEST(Quantile, IsOfType7) {
  // Hyndman & Fan 1996, "Sample quantiles in statistical packages": type 7 of {1, 2, 3, 4} at 0.25
  // is 1.75 (type 6 would be 1.25).
  EXPECT_DOUBLE_EQ(quantile({4, 1, 3, 2}, 0.25), 1.75);
  EXPECT_DOUBLE_EQ(quantile({4, 1, 3, 2}, 0.5), 2.5);
}

TEST(Quantile, RunsFromTheLeastToTheGreatest) {
  EXPECT_EQ(quantile({4, 1, 3, 2}, 0.0), 1.0);
  EXPECT_EQ(quantile({4, 1, 3, 2}, 1.0), 4.0);
  EXPECT_EQ(quantile({7}, 0.3), 7.0);
  EXPECT_TRUE(std::isnan(quantile({}, 0.5)));
  const double infinite = std::numeric_limits<double>::infinity();
  EXPECT_EQ(quantile({1.0, infinite}, 1.0), infinite);
  EXPECT_EQ(quantile({-infinite, 1.0}, 0.0), -infinite);
}

TEST(MedianOf, TakesTheMiddleOrTheMeanOfTheTwo) {
  std::vector<double> odd{9, 1, 5}, even{9, 1, 5, 6}, none;
  EXPECT_EQ(median_of(odd), 5.0);
  EXPECT_EQ(median_of(even), 5.5);
  EXPECT_TRUE(std::isnan(median_of(none)));
}

TEST(Quantile, OfVeryManyIsThatOfTheSortedOnes) {
  // The slow twin sorts. Values of both signs, of all sizes, zeros of both signs, and very many
  // that are equal.
  Rng rng(11);
  std::vector<double> values;
  for (int i = 0; i < 400'001; ++i)
    values.push_back(i % 5 == 0 ? 0.25 : rng.normal() * std::pow(10.0, rng.uniform(-20.0, 20.0)));
  for (int i = 0; i < 1000; ++i)
    values.push_back(i % 2 == 0 ? -0.0 : 0.0);
  std::vector<double> sorted = values;
  std::sort(sorted.begin(), sorted.end());
  for (const double share : {0.0, 0.05, 0.3, 0.5, 0.501, 0.6, 0.95, 1.0}) {
    const double place = share * static_cast<double>(sorted.size() - 1);
    const auto rank = static_cast<std::size_t>(place);
    const double low = sorted[rank], high = sorted[std::min(rank + 1, sorted.size() - 1)];
    EXPECT_EQ(quantile(values, share), low + (place - static_cast<double>(rank)) * (high - low))
        << share;
  }
  const std::size_t half = sorted.size() / 2;
  std::vector<double> odd = values;
  EXPECT_EQ(median_of(odd), sorted[half]);
  values.push_back(sorted.back());
  EXPECT_EQ(median_of(values), 0.5 * (sorted[half] + sorted[half + 1]));
}

TEST(RobustSigma, IsTheScaledMedianDeviation) {
  // {1, 1, 2, 2, 4, 6, 9}: median 2, median absolute deviation 1; 1 / Φ⁻¹(3/4) = 1.482602218505602.
  EXPECT_NEAR(robust_sigma({1, 1, 2, 2, 4, 6, 9}), 1.482602218505602, 1e-15);
  EXPECT_NEAR(robust_sigma({1, 1, 2, 2, 4, 6, 9e9}), 1.482602218505602, 1e-15);
  EXPECT_TRUE(std::isnan(robust_sigma({})));
}

}  // namespace
}  // namespace trammel
