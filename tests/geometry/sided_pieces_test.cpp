#include "trammel/geometry/sided_pieces.hpp"

#include <gtest/gtest.h>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

TEST(SidedPieces, TellWhoLooksTheOtherWay) {
  SidedPieces pieces(5);
  pieces.join(0, 1, true);
  pieces.join(3, 2, true);
  pieces.join(1, 2, false);
  EXPECT_EQ(pieces.root(0).at, pieces.root(3).at);
  EXPECT_EQ(pieces.root(0).opposite, pieces.root(3).opposite) << "turned twice";
  EXPECT_NE(pieces.root(0).opposite, pieces.root(2).opposite);
  EXPECT_NE(pieces.root(4).at, pieces.root(0).at);
}

TEST(SidedPieces, AreTheFirstLinksWhereOthersContradictThem) {
  SidedPieces pieces(2);
  pieces.join(0, 1, false);
  pieces.join(0, 1, true);
  EXPECT_EQ(pieces.root(0).opposite, pieces.root(1).opposite);
}

TEST(SidedPieces, OfLongChainsAgreeWithSidesGivenBeforehand) {
  Rng rng(3);
  std::vector<bool> down(500);
  for (std::size_t i = 0; i < down.size(); ++i)
    down[i] = rng.uniform(0, 1) < 0.5;
  SidedPieces pieces(down.size());
  for (int k = 0; k < 4000; ++k) {
    const std::size_t a = rng.index(down.size()), b = rng.index(down.size());
    if (a % 3 == b % 3) pieces.join(a, b, down[a] != down[b]);
  }
  for (std::size_t i = 3; i < down.size(); ++i)
    pieces.join(i - 3, i, down[i - 3] != down[i]);
  for (std::size_t i = 3; i < down.size(); ++i) {
    const SidedPieces::Root here = pieces.root(i), first = pieces.root(i % 3);
    ASSERT_EQ(here.at, first.at) << i;
    EXPECT_EQ(here.opposite != first.opposite, down[i] != down[i % 3]) << i;
  }
}

}  // namespace
}  // namespace trammel
