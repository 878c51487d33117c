#include "../../src/read/tolerance_keys.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {
namespace {

std::variant<Band, GeneralTolerance> size_in(const std::string& text,
                                             std::optional<double> nominal_mm = {}) {
  const toml::table parsed = toml::parse(text);
  const PlanTable table(parsed, "p.toml", "distance 1", {"over", "under", "class"});
  return size_allowed(table, nominal_mm, "how much longer or shorter it may be, mm",
                      "No distance can be proven to be exact");
}
std::string size_error(const std::string& text, std::optional<double> nominal_mm = {}) {
  return test::input_error([&] { (void)size_in(text, nominal_mm); });
}

TEST(ToleranceKeys, AreFiguresOrAClass) {
  const auto band = std::get<Band>(size_in("over = 0.1\nunder = 0.2\n"));
  EXPECT_EQ(band.over_mm, 0.1);
  EXPECT_EQ(band.under_mm, 0.2);
  EXPECT_EQ(std::get<GeneralTolerance>(size_in("class = \"ISO 13920-B\"")).name, "ISO 13920-B");
}

TEST(ToleranceKeys, AreNotBothAndNotNeither) {
  EXPECT_TRUE(test::has(size_error("over = 0.1"), "expected 'distance 1.under'"));
  EXPECT_TRUE(test::has(size_error("class = \"ISO 2768-m\"\nunder = 0.1"),
                        "p.toml:2:9: expected 'class' or 'over' and 'under', found both"));
  EXPECT_TRUE(test::has(size_error("over = 0\nunder = 0"), "No distance can be proven"));
}

TEST(ToleranceKeys, NameAClassThatGivesSomethingForTheSize) {
  EXPECT_TRUE(test::has(size_error("class = \"ISO 2768-K\""), "found 'ISO 2768-K'"));
  EXPECT_TRUE(test::has(size_error("class = \"ISO 2768-m\"", 0.4),
                        "ISO 2768-m gives no tolerance for 0.4 mm"));
  const toml::table parsed = toml::parse("class = \"ISO 2768-K\"");
  const PlanTable table(parsed, "p.toml", "flatness 1", {"class"});
  EXPECT_EQ(class_of(table, flatness_tolerances(), "flatness").name, "ISO 2768-K");
}

}  // namespace
}  // namespace trammel::read
