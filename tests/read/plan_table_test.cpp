#include "../../src/read/plan_table.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"

namespace trammel::read {
namespace {

TEST(PlanTable, TakesIntegersForNumbersAndSaysWhereAValueIsWrong) {
  const toml::table root = toml::parse("a = 2\nb = 2.5\nc = \"two\"\nd = nan\n");
  const PlanTable table(root, "p.toml", "", {"a", "b", "c", "d"});
  EXPECT_EQ(table.number("a", {}), 2.0);
  EXPECT_EQ(table.number("b", {}), 2.5);
  EXPECT_EQ(table.number("e", {}), std::nullopt);
  EXPECT_TRUE(test::has(test::input_error([&] { (void)table.number("c", {}); }),
                        "p.toml:3:5: expected a number for 'c', found text"));
  EXPECT_TRUE(test::has(test::input_error([&] { (void)table.number("d", {}); }), "finite"));
  EXPECT_TRUE(test::has(test::input_error([&] {
                          (void)table.number("a", {0.0, 1.0});
                        }),
                        "expected at least 0 and at most 1 for 'a', found 2"));
  EXPECT_TRUE(test::has(test::input_error([&] { (void)table.text("a"); }), "expected text"));
}

TEST(PlanTable, RefusesUnknownKeysWithTheNearestKnownOne) {
  const toml::table root = toml::parse("ovr = 2\n");
  EXPECT_TRUE(test::has(test::input_error([&] {
                          PlanTable(root, "p.toml", "band", {"over", "under"});
                        }),
                        "p.toml:1:1: unknown key 'band.ovr', did you mean 'over'?"));
}

TEST(PlanTable, CountsTheEntriesOfArrays) {
  const toml::table root = toml::parse("at = [1, 2]\nbox = [[1, 2, 3]]\n");
  const PlanTable table(root, "p.toml", "hole 1", {"at", "box"});
  EXPECT_TRUE(test::has(test::input_error([&] { (void)table.numbers("at", 3); }),
                        "expected an array of 3 numbers for 'hole 1.at', found 2 entries"));
  EXPECT_TRUE(test::has(test::input_error([&] { (void)table.pair("box"); }), "found 1 entries"));
}

}  // namespace
}  // namespace trammel::read
