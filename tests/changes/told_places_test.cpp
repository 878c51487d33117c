#include "trammel/changes/told_places.hpp"

#include <gtest/gtest.h>

#include "changes/made_scans.hpp"

namespace trammel {
namespace {

TEST(ToldPlaces, AreNamedByWhoShowsThemAndCountedBeyondThree) {
  ToldPlace hole{{true, 90.0, {1, 2, 3}, Eigen::Vector3d::UnitZ()}, true};
  ToldPlace block{{false, 50.0, {4, 5, 6}, Eigen::Vector3d::UnitZ()}, false};
  const auto words = words_of_places({hole, block, block, block, block});
  ASSERT_EQ(words.size(), 4U);
  EXPECT_NE(words[0].find("Only the old scan"), std::string::npos);
  EXPECT_NE(words[0].find("there may be a hole now"), std::string::npos);
  EXPECT_NE(words[1].find("Only the new scan"), std::string::npos);
  EXPECT_NE(words[1].find("it may have been added since"), std::string::npos);
  EXPECT_EQ(words[3], "2 more such places, 100 mm\u00b2 together");
  EXPECT_TRUE(words_of_places({}).empty());
}

// A hole that the core points tell of is not told again by the points.
TEST(ToldPlaces, AreToldOnceAndNotWhereAChangeWasFound) {
  const Scan whole = test::MadeScan(1).plate().scan();
  const Scan holed = test::MadeScan(2).plate().without_floor({60, 40, 0}, {90, 70, 0}).scan();
  EXPECT_EQ(test::changes_between_made(whole, holed).open_places.size(), 1U);
  const Scan raised = test::MadeScan(3)
                          .plate()
                          .without_floor({60, 40, 0}, {90, 70, 0})
                          .face({60, 40, 3}, {30, 0, 0}, {0, 30, 0})
                          .scan();
  const Changes moved = test::changes_between_made(whole, raised);
  EXPECT_EQ(moved.outcome, ChangesOutcome::Changed);
  EXPECT_TRUE(moved.open_places.empty());
}

}  // namespace
}  // namespace trammel
