#include "report/json_text.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using OrderedJson = nlohmann::ordered_json;

TEST(JsonText, NumbersReadBackToTheSameBits) {
  Rng rng(3);
  for (int i = 0; i < 2000; ++i) {
    const double value = rng.normal() * std::pow(10.0, rng.uniform(-12, 12));
    EXPECT_EQ(OrderedJson::parse(json_text(OrderedJson(value))).get<double>(), value);
  }
}

TEST(JsonText, UsesTheFewestDigits) {
  EXPECT_EQ(json_text(OrderedJson(0.1)), "0.1\n");
  EXPECT_EQ(json_text(OrderedJson(90.0)), "90\n");
  EXPECT_EQ(json_text(OrderedJson(-0.0)), "0\n");
}

TEST(JsonText, WhatIsNotFiniteIsNull) {
  EXPECT_EQ(json_text(OrderedJson(std::numeric_limits<double>::quiet_NaN())), "null\n");
  EXPECT_EQ(json_text(OrderedJson(std::numeric_limits<double>::infinity())), "null\n");
}

TEST(JsonPieces, HoldNumbersVectorsAndRowsOfAMotion) {
  EXPECT_TRUE(json_number(std::numeric_limits<double>::quiet_NaN()).is_null());
  EXPECT_EQ(json_text(json_vector({1, 2.5, HUGE_VAL})), "[1, 2.5, null]\n");
  const OrderedJson rows = json_matrix(Eigen::Isometry3d(Eigen::Translation3d(7, 8, 9)));
  ASSERT_EQ(rows.size(), 4U);
  EXPECT_EQ(json_text(rows[1]), "[0, 1, 0, 8]\n");
  EXPECT_EQ(json_text(rows[3]), "[0, 0, 0, 1]\n");
}

TEST(JsonText, StringsAreEscapedAndBrokenUtf8IsReplaced) {
  const OrderedJson value = {{"a\"b", "x\n\xff</script>"}};
  const OrderedJson back = OrderedJson::parse(json_text(value));
  EXPECT_EQ(back["a\"b"].get<std::string>(), "x\n\uFFFD</script>");
}

TEST(JsonText, ListsOfNumbersStayOnOneLine) {
  const OrderedJson value = {{"row", {1, 2.5}}, {"none", OrderedJson::array()}};
  EXPECT_EQ(json_text(value), "{\n  \"row\": [1, 2.5],\n  \"none\": []\n}\n");
}

}  // namespace
}  // namespace trammel
