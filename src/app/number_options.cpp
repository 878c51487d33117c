#include <CLI/CLI.hpp>
#include <cmath>

#include "commands.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"

namespace trammel::app {
namespace {

constexpr double kMost = 1e9;  // mm: a thousand kilometres

CLI::Validator number_that(const char* what, bool (*is_good)(double)) {
  return {[what, is_good](std::string& word) {
            const auto value = parse_double(word);
            if (value && is_good(*value)) return std::string();
            return std::string("expected ") + what + ", found '" + printable(word) + "'";
          },
          ""};
}

}  // namespace

CLI::Validator length_above_zero() {
  return number_that("a number above 0 such as 0.5, at most 1e9",
                     [](double value) { return value > 0.0 && value <= kMost; });
}

CLI::Validator length_from_zero() {
  return number_that("a number from 0 such as 0.05, at most 1e9",
                     [](double value) { return value >= 0.0 && value <= kMost; });
}

CLI::Validator count_above_zero() {
  return number_that("a whole number from 1, at most 1e9", [](double value) {
    return value >= 1.0 && value <= kMost && value == std::floor(value);
  });
}

}  // namespace trammel::app
