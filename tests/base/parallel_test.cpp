#include "trammel/base/parallel.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <stdexcept>
#include <string>
#include <thread>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

TEST(ForEachIndex, VisitsEachIndexOnce) {
  std::vector<int> visits(10007, 0);
  for_each_index(
      visits.size(), [&](std::size_t i) { ++visits[i]; }, 64);
  EXPECT_EQ(std::count(visits.begin(), visits.end(), 1), 10007);
}

TEST(IndicesWhere, AreAscendingAndAll) {
  const auto chosen = [](std::size_t i) { return i % 7 == 3 || i > 9'990; };
  std::vector<std::ptrdiff_t> expected;
  for (std::size_t i = 0; i < 10'007; ++i)
    if (chosen(i)) expected.push_back(static_cast<std::ptrdiff_t>(i));
  EXPECT_EQ(indices_where(10'007, chosen, 100), expected);
  EXPECT_EQ(indices_where(10'007, chosen), expected);
  EXPECT_TRUE(indices_where(0, chosen).empty());
}

TEST(Gathered, HasWhatEachIndexAddsInTheirOrder) {
  const auto add = [](std::size_t i, std::vector<std::size_t>& to) {
    to.resize(to.size() + i % 3, i);
  };
  std::vector<std::size_t> expected;
  for (std::size_t i = 0; i < 1'000; ++i)
    add(i, expected);
  EXPECT_EQ(gathered<std::size_t>(1'000, add, 7), expected);
  EXPECT_EQ(gathered<std::size_t>(1'000, add), expected);
}

TEST(ForEachChunk, StartsChunksAtMultiplesOfTheGrain) {
  std::vector<std::size_t> ends(5, 0);
  for_each_chunk(450, 100, [&](std::size_t begin, std::size_t end) {
    if (begin % 100 == 0) ends[begin / 100] = end;
  });
  EXPECT_EQ(ends, (std::vector<std::size_t>{100, 200, 300, 400, 450}));
}

TEST(ForEachChunk, DoesNothingForNothing) {
  for_each_chunk(0, 16, [](std::size_t, std::size_t) { FAIL(); });
}

TEST(ForEachIndex, PassesAnExceptionOn) {
  const auto body = [](std::size_t i) {
    if (i == 777) throw std::runtime_error("at 777");
  };
  EXPECT_THROW(for_each_index(5000, body, 16), std::runtime_error);
}

TEST(RunTogether, RunsEachTaskOnce) {
  std::vector<int> runs(3, 0);
  run_together({[&] { ++runs[0]; }, [&] { ++runs[1]; }, [&] { ++runs[2]; }});
  EXPECT_EQ(runs, (std::vector<int>{1, 1, 1}));
}

TEST(RunTogether, PassesAnExceptionOn) {
  EXPECT_THROW(run_together({[] {}, [] { throw std::runtime_error("second"); }}),
               std::runtime_error);
}

TEST(RunTogether, ThrowsWhatTheFirstInTheListThrew) {
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    for (int round = 0; round < 20; ++round) {
      std::string told;
      try {
        run_together({[] {
                        std::this_thread::sleep_for(std::chrono::milliseconds(1));
                        throw std::runtime_error("slow and first");
                      },
                      [] { throw std::runtime_error("quick and second"); }});
      } catch (const std::runtime_error& error) {
        told = error.what();
      }
      EXPECT_EQ(told, "slow and first");
    }
  }
}

TEST(OrderedSum, HasTheSameBitsOnAnyNumberOfThreads) {
  // Terms over 20 orders of magnitude: any other order of adding gives other last digits.
  Rng rng(3);
  std::vector<double> terms(200000);
  for (double& term : terms)
    term = std::pow(10.0, rng.uniform(-10.0, 10.0)) * (rng.uniform() < 0.5 ? -1.0 : 1.0);
  const auto sum = [&] {
    return ordered_sum(
        terms.size(), 0.0, [&](std::size_t i) { return terms[i]; }, 512);
  };
  std::vector<double> sums;
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    for (int run = 0; run < 5; ++run)
      sums.push_back(sum());
  }
  for (const double one : sums)
    EXPECT_EQ(one, sums.front());
}

TEST(OrderedSum, AddsEveryTerm) {
  const auto value = [](std::size_t i) { return static_cast<long long>(i); };
  EXPECT_EQ(ordered_sum(100001, 0LL, value, 100), 100000LL * 100001LL / 2LL);
  EXPECT_EQ(ordered_sum(0, 0LL, value), 0LL);
}

}  // namespace
}  // namespace trammel
