#pragma once

/// Numbers as text, never by locale.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace trammel {

/// Fewest digits that read back to the same double; "nan" and "inf" for what is not finite.
[[nodiscard]] std::string shortest(double value);

/// With a fixed number of decimals; −0 prints as 0.
[[nodiscard]] std::string fixed(double value, int decimals);

/// `fixed` with a sign in front of everything but zero: "+0.42", "−0.10" (U+2212), "0.00".
[[nodiscard]] std::string signed_fixed(double value, int decimals);

/// The whole text as a number, or nothing. Accepts a leading '+', inf and nan; no locale, no
/// blanks.
[[nodiscard]] std::optional<double> parse_double(std::string_view text);

/// 1234567 as "1,234,567".
[[nodiscard]] std::string grouped(long long value);

/// "1 triangle", "1,234 triangles": a number with the word that goes with it.
[[nodiscard]] std::string counted(std::size_t count, std::string_view one, std::string_view more);

}  // namespace trammel
