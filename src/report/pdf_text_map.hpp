#pragma once

/// What a reader of the PDF needs to copy and to search its words: ToUnicode CMaps
/// (ISO 32000-1, 9.10.3) for text whose codes have two bytes.

#include <string>
#include <vector>

namespace trammel {

/// For codes that are UTF-16 already: every one stands for itself, in ranges within which the last
/// byte alone changes, at most a hundred a block, as the standard asks. Surrogates are left out.
[[nodiscard]] std::string text_map();

/// The map of some entries, each a line, in blocks of at most a hundred.
/// @param kind  "bfchar" for codes one by one, "bfrange" for ranges
[[nodiscard]] std::string text_map_of(const std::string& kind,
                                      const std::vector<std::string>& entries);

/// "<E000> <D83DDE00>", for bfchar.
/// @param code      at most U+FFFF
/// @param stands_for  any character
[[nodiscard]] std::string text_map_entry(char32_t code, char32_t stands_for);

}  // namespace trammel
