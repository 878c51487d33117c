#include "trammel/base/numbers.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <limits>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(Shortest, TakesTheFewestDigits) {
  EXPECT_EQ(shortest(0.1), "0.1");
  EXPECT_EQ(shortest(1.0), "1");
  EXPECT_EQ(shortest(-25.4), "-25.4");
  EXPECT_EQ(shortest(-0.0), "0");
  EXPECT_EQ(shortest(0.1 + 0.2), "0.30000000000000004");
  EXPECT_EQ(shortest(std::nan("")), "nan");
  EXPECT_EQ(shortest(-kInfinity), "-inf");
}

TEST(Shortest, ReadsBackToTheSameBits) {
  Rng rng(1);
  for (int i = 0; i < 10000; ++i) {
    const double value = std::ldexp(rng.uniform(-1.0, 1.0), static_cast<int>(rng.index(600)) - 300);
    ASSERT_EQ(parse_double(shortest(value)), value);
  }
}

TEST(Fixed, RoundsToTheDecimalsAskedAndHasNoMinusZero) {
  EXPECT_EQ(fixed(1.25, 1), "1.2");  // exactly half way: to even
  EXPECT_EQ(fixed(2.0, 3), "2.000");
  EXPECT_EQ(fixed(-0.004, 2), "0.00");
  EXPECT_EQ(fixed(-0.006, 2), "-0.01");
  EXPECT_EQ(fixed(1234.5, 0), "1234");
  EXPECT_EQ(fixed(std::numeric_limits<double>::max(), 2).size(), 309u + 3u);
}

TEST(SignedFixed, ShowsTheSignOfAllButZero) {
  EXPECT_EQ(signed_fixed(0.42, 2), "+0.42");
  EXPECT_EQ(signed_fixed(-0.1, 2), "\u22120.10");
  EXPECT_EQ(signed_fixed(-0.001, 2), "0.00");
  EXPECT_EQ(signed_fixed(0.0, 2), "0.00");
}

TEST(ParseDouble, TakesWholeTextsOnly) {
  EXPECT_EQ(parse_double("1.5"), 1.5);
  EXPECT_EQ(parse_double("+1.5e2"), 150.0);
  EXPECT_EQ(parse_double("-.5"), -0.5);
  EXPECT_EQ(parse_double("inf"), kInfinity);
  ASSERT_TRUE(parse_double("nan").has_value());
  EXPECT_TRUE(std::isnan(*parse_double("nan")));
  for (const char* wrong : {"", "+", "-", "1.5mm", " 1", "1 ", "1,5", "0x10", "1e", "+-1", "++1"})
    EXPECT_FALSE(parse_double(wrong).has_value()) << "'" << wrong << "'";
}

TEST(ParseDouble, RunsOverToInfinityAndUnderToZero) {
  EXPECT_EQ(parse_double("1e999"), kInfinity);
  EXPECT_EQ(parse_double("-1e999"), -kInfinity);
  EXPECT_EQ(parse_double("1e-999"), 0.0);
}

TEST(Numbers, HeedNoLocale) {
  // Where the machine has a locale with decimal commas, it must change nothing.
  const std::string before = std::setlocale(LC_ALL, nullptr);
  std::setlocale(LC_ALL, "de_DE.UTF-8");
  EXPECT_EQ(fixed(1234.5, 1), "1234.5");
  EXPECT_EQ(shortest(0.5), "0.5");
  EXPECT_EQ(parse_double("0.5"), 0.5);
  std::setlocale(LC_ALL, before.c_str());
}

TEST(Grouped, SetsCommasEachThreeDigits) {
  EXPECT_EQ(grouped(0), "0");
  EXPECT_EQ(grouped(999), "999");
  EXPECT_EQ(grouped(1000), "1,000");
  EXPECT_EQ(grouped(1234567), "1,234,567");
  EXPECT_EQ(grouped(-123456), "-123,456");
}

TEST(Numbers, AreCountedWithTheWordThatGoesWithThem) {
  EXPECT_EQ(counted(0, "face", "faces"), "0 faces");
  EXPECT_EQ(counted(1, "face", "faces"), "1 face");
  EXPECT_EQ(counted(1234, "face", "faces"), "1,234 faces");
}

}  // namespace
}  // namespace trammel
