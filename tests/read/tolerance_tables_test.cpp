#include "trammel/read/tolerance_tables.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"

namespace trammel {
namespace {

/// A good table with one line in place of that of the same key.
std::string table_with(const std::string& line) {
  std::string text;
  for (const std::string good : {"standard = \"X 1\"", "call = \"X\"", "least = 1",
                                 "up_to = [3, 6, inf]", "[classes]", "m = [0.1, \"none\", 2]"}) {
    const bool replaced = good.substr(0, good.find(' ')) == line.substr(0, line.find(' '));
    text += (replaced ? line : good) + "\n";
  }
  return text;
}

std::string error_with(const std::string& line) {
  return test::input_error([&] { (void)parse_tolerance_table(table_with(line), "x.toml"); });
}

std::string clearance_error(const std::string& text) {
  return test::input_error([&] { (void)parse_clearance_table(text, "c.toml"); });
}

TEST(ToleranceTables, ReadsTheClassesOfAStandard) {
  const auto classes = parse_tolerance_table(table_with(""), "x.toml");
  ASSERT_EQ(classes.size(), 1U);
  EXPECT_EQ(classes[0].name, "X-m");
  EXPECT_EQ(classes[0].allowed_at(1.0), 0.1);
  EXPECT_FALSE(classes[0].allowed_at(6.0).has_value());
  EXPECT_EQ(classes[0].allowed_at(1e6), 2.0);
}

TEST(ToleranceTables, TurnMinutesOfArcIntoRadians) {
  const auto classes = parse_tolerance_table(
      "call = \"X\"\nstandard = \"X 1\"\nvalues = \"minutes of arc\"\nleast = 0\nup_to = [3]\n"
      "[classes]\nm = [30]\n",
      "x.toml");
  EXPECT_NEAR(*classes.at(0).allowed_at(1.0), 0.5 * 3.14159265358979 / 180.0, 1e-14);
  EXPECT_TRUE(test::has(test::input_error([] {
                          (void)parse_tolerance_table(
                              "call = \"X\"\nstandard = \"X\"\nvalues = \"deg\"\n"
                              "least = 0\nup_to = [3]\n[classes]\nm = [30]\n",
                              "x.toml");
                        }),
                        "minutes of arc"));
}

TEST(ToleranceTables, SayWhereATableMakesNoSense) {
  EXPECT_TRUE(test::has(error_with("m = [0.1, 2]"), "x.toml:6:5: expected 3 values for 'm'"));
  EXPECT_TRUE(test::has(error_with("m = [0.1, 0, 2]"), "x.toml:6:11: expected \"none\""));
  EXPECT_TRUE(test::has(error_with("m = [0.1, \"nil\", 2]"), "x.toml:6:11: expected a number"));
  EXPECT_TRUE(test::has(error_with("up_to = [3, 3, 6]"), "x.toml:4:13: expected numbers above 0"));
  EXPECT_TRUE(test::has(error_with("up_to = 3"), "x.toml:4:9: expected an array"));
  EXPECT_TRUE(test::has(error_with("least = 4"), "at most 3"));
  EXPECT_TRUE(test::has(error_with("call = 3"), "expected text for 'call'"));
  EXPECT_TRUE(test::has(error_with("least 1"), "expected a table in TOML"));
  EXPECT_TRUE(test::has(test::input_error([] { (void)parse_tolerance_table("", "x.toml"); }),
                        "expected 'standard'"));
}

TEST(ToleranceTables, RefuseClearanceHolesThatAreNotWider) {
  EXPECT_TRUE(test::has(clearance_error("bolt = [3]\nfine = [3]\nmedium = [4]\ncoarse = [5]\n"),
                        "c.toml:2:8: expected holes wider than 3 in 'fine', found 3"));
  EXPECT_TRUE(test::has(clearance_error("bolt = [3, 4]\nfine = [3.2]\n"), "expected 2 values"));
  EXPECT_TRUE(test::has(clearance_error("fine = [3.2]\n"), "expected 'bolt'"));
}

}  // namespace
}  // namespace trammel
