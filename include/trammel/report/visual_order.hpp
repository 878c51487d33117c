#pragma once

/// Arabic, Hebrew and other scripts that run to the left, for paper that is written to the right.

#include <string>

namespace trammel {

/// The letters as they stand on paper, from left to right, within a line that runs to the right
/// (FriBidi, after Unicode's annex 9); Arabic ones in the shape that joins them. Text of scripts
/// that run to the right comes back as it is.
[[nodiscard]] std::u32string in_visual_order(const std::u32string& codes);

}  // namespace trammel
