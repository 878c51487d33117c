#pragma once

/// Words: nearest match for a misspelt one, and names made safe to print.

#include <string>
#include <string_view>
#include <vector>

namespace trammel {

/// Fewest insertions, deletions, replacements and swaps of neighbours that turn a into b, no letter
/// being touched twice [Damerau 1964, doi:10.1145/363958.363994].
[[nodiscard]] std::size_t edit_distance(std::string_view a, std::string_view b);

/// ", did you mean 'band'?" for a near miss among `known`, otherwise an empty text.
[[nodiscard]] std::string did_you_mean(std::string_view word,
                                       const std::vector<std::string>& known);

/// Valid UTF-8 without control characters, ends of lines or orders to write the other way round:
/// each of these, and what is no UTF-8, becomes U+FFFD. For names from files.
[[nodiscard]] std::string printable(std::string_view text);

/// The first letter of the 26 as a capital, or as a small one; every letter as a capital.
[[nodiscard]] std::string capitalised(std::string text);
[[nodiscard]] std::string uncapitalised(std::string text);
[[nodiscard]] std::string in_capitals(std::string text);

/// "hole A"; "Hole 7" stays as it is, a name that begins with the word, small or capital.
[[nodiscard]] std::string named(const std::string& word, const std::string& name);

[[nodiscard]] bool ends_with(std::string_view text, std::string_view ending);

}  // namespace trammel
