#include "trammel/geometry/weld.hpp"

#include <gtest/gtest.h>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

TEST(Weld, FindsTheFirstVertexAtThePlaceAndTakesMinusZeroForZero) {
  Eigen::Matrix3Xd places(3, 5);
  places.transpose() << 1, 2, 3, 0, 0, 0, 1, 2, 3, -0.0, 0, -0.0, 1, 2, 3.0000001;
  EXPECT_EQ(first_at_same_place(places), (std::vector<int>{0, 1, 0, 1, 4}));
}

TEST(Weld, MatchesBruteForceOnALatticeOfRandomPlaces) {
  Rng rng(1);
  Eigen::Matrix3Xd places(3, 600);
  for (Eigen::Index i = 0; i < places.size(); ++i)
    places.data()[i] = static_cast<double>(rng.index(6));
  const std::vector<int> first = first_at_same_place(places);
  for (int i = 0; i < 600; ++i) {
    int expected = 0;
    while (places.col(expected) != places.col(i))
      ++expected;
    ASSERT_EQ(first[static_cast<std::size_t>(i)], expected);
  }
}

TEST(Weld, JoinsOnlyCandidatesWithinTheToleranceAndNeverInChains) {
  Eigen::Matrix3Xd places = Eigen::Matrix3Xd::Zero(3, 5);
  places.row(0) << 0.0, 0.9, 1.8, 5.0, 5.5;
  // 0 takes 0.9 with it; 1.8 is within reach of 0.9 but not of 0. Vertex 4 is no candidate.
  EXPECT_EQ(nearest_within(places, {0, 1, 2, 3}, 1.0), (std::vector<int>{0, 0, 2, 3, 4}));
}

}  // namespace
}  // namespace trammel
