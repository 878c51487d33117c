#pragma once

/// Letters that a font puts together of others.

#include <hpdf.h>

namespace trammel {

/// Marks the parts of a letter as used, and theirs, so that they are embedded with it: libharu
/// embeds what was written alone, and an ё came out as its two dots.
/// @param font  embedded TrueType, made with the encoder "UTF-8"
/// @param code  of the basic plane; nothing happens where the font lacks it
void use_parts_of(HPDF_Font font, char32_t code);

}  // namespace trammel
