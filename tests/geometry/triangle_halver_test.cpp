#include "../../src/geometry/triangle_halver.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <limits>
#include <set>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Middles = std::vector<TriangleMiddle>;

/// Widest along the axis; every fifth where the one before is.
Middles strewn(int count, std::size_t axis, double half) {
  Rng rng(3);
  Middles out;
  for (int i = 0; i < count; ++i) {
    TriangleMiddle middle{{0.0F, 0.0F, 0.0F}, i};
    for (std::size_t k = 0; k < 3; ++k)
      middle.at[k] = static_cast<float>(rng.uniform(-half, half) * (k == axis ? 1.0 : 0.5));
    if (i % 5 == 4) middle.at = out.back().at;
    out.push_back(middle);
  }
  return out;
}

/// The slow twin: what a full sort puts before `middle`.
std::set<int> first_of_sorted(Middles all, std::size_t middle, std::size_t axis) {
  std::sort(all.begin(), all.end(), [axis](const TriangleMiddle& a, const TriangleMiddle& b) {
    return a.at[axis] != b.at[axis] ? a.at[axis] < b.at[axis] : a.triangle < b.triangle;
  });
  std::set<int> out;
  for (std::size_t i = 0; i < middle; ++i)
    out.insert(all[i].triangle);
  return out;
}

void expect_halved(const Middles& all, std::size_t middle, std::size_t axis) {
  TriangleHalver halver(all);
  halver.halve(0, middle, all.size());
  std::set<int> first, every;
  for (std::size_t i = 0; i < all.size(); ++i) {
    every.insert(halver.triangle(i));
    if (i < middle) first.insert(halver.triangle(i));
  }
  EXPECT_EQ(every.size(), all.size());
  EXPECT_EQ(first, first_of_sorted(all, middle, axis));
}

TEST(TriangleHalver, PutsThoseBeforeTheMiddleThatASortWould) {
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (const int count : {2, 9, 200, 5000})
      for (const double share : {0.1, 0.5, 0.99})
        expect_halved(strewn(count, axis, 70.0),
                      std::max<std::size_t>(1, static_cast<std::size_t>(share * count)), axis);
}

TEST(TriangleHalver, OneFarOffLeavesTheRestInOneBin) {
  Middles all = strewn(3000, 1, 1.0);
  all[1700].at[1] = 1e9F;
  expect_halved(all, 1496, 1);
}

TEST(TriangleHalver, EqualMiddlesGoByTriangle) {
  Middles all = strewn(3000, 0, 1.0);
  for (TriangleMiddle& middle : all)
    middle.at = {2.0F, 2.0F, 2.0F};
  expect_halved(all, 1496, 0);
}

TEST(TriangleHalver, CoordinatesWithoutADifferenceInFloatAreHalvedAllTheSame) {
  constexpr float kMost = std::numeric_limits<float>::max();
  Middles all = strewn(3000, 2, 1.0);
  all[7].at[2] = -kMost;
  all[8].at[2] = kMost;
  expect_halved(all, 1496, 2);
}

TEST(TriangleHalver, LeavesOtherRunsAlone) {
  const Middles all = strewn(4000, 0, 10.0);
  TriangleHalver halver(all);
  halver.halve(1000, 2000, 3000);
  for (std::size_t i = 0; i < 1000; ++i) {
    EXPECT_EQ(halver.triangle(i), all[i].triangle);
    EXPECT_EQ(halver.triangle(3000 + i), all[3000 + i].triangle);
  }
}

}  // namespace
}  // namespace trammel
