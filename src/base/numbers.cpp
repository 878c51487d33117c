#include "trammel/base/numbers.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace trammel {

std::string shortest(double value) {
  if (value == 0.0) return "0";
  std::array<char, 32> text{};
  const auto result = std::to_chars(text.data(), text.data() + text.size(), value);
  return {text.data(), result.ptr};
}

std::string fixed(double value, int decimals) {
  std::array<char, 400> text{};
  const auto result = std::to_chars(text.data(), text.data() + text.size(), value,
                                    std::chars_format::fixed, decimals);
  std::string out(text.data(), result.ptr);
  if (out[0] == '-' && out.find_first_not_of("-0.") == std::string::npos) out.erase(0, 1);
  return out;
}

std::string signed_fixed(double value, int decimals) {
  std::string text = fixed(std::abs(value), decimals);
  if (text.find_first_not_of("0.") == std::string::npos) return text;
  return (value < 0.0 ? "\u2212" : "+") + text;
}

std::optional<double> parse_double(std::string_view text) {
  if (!text.empty() && text.front() == '+') {
    text.remove_prefix(1);
    if (!text.empty() && text.front() == '-') return std::nullopt;
  }
  double value = 0.0;
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  if (result.ptr != text.data() + text.size() || text.empty()) return std::nullopt;
  if (result.ec == std::errc::result_out_of_range) {
    // Beyond double's range: too small is zero, too large is infinite (and tidied away later).
    const std::size_t exponent = text.find_first_of("eE");
    const bool tiny = exponent != text.npos ? text.substr(exponent + 1).front() == '-'
                                            : text.find_first_not_of("-0") == text.find('.');
    if (tiny) return 0.0;
    return text.front() == '-' ? -HUGE_VAL : HUGE_VAL;
  }
  if (result.ec != std::errc{}) return std::nullopt;
  return value;
}

std::string grouped(long long value) {
  std::string text = std::to_string(value);
  const std::ptrdiff_t first = value < 0 ? 1 : 0;
  for (auto at = static_cast<std::ptrdiff_t>(text.size()) - 3; at > first; at -= 3) {
    text.insert(static_cast<std::size_t>(at), ",");
  }
  return text;
}

std::string counted(std::size_t count, std::string_view one, std::string_view more) {
  return grouped(static_cast<long long>(count)) + ' ' + std::string(count == 1 ? one : more);
}

}  // namespace trammel
