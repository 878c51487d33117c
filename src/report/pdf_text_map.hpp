#pragma once

/// What a reader of the PDF needs to copy and to search its words.

#include <string>

namespace trammel {

/// A ToUnicode CMap (ISO 32000-1, 9.10.3) for text whose two-byte codes are UTF-16 already: every
/// code stands for itself, in ranges within which the last byte alone changes, at most a hundred a
/// block, as the standard asks. Surrogates are left out.
[[nodiscard]] std::string text_map();

}  // namespace trammel
