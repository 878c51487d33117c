#pragma once

/// What a sheet is printed on.

#include <optional>
#include <string_view>

namespace trammel {

enum class Paper {
  A4,      ///< 210 × 297 mm (ISO 216)
  Letter,  ///< 8.5 × 11 in (ANSI/ASME Y14.1, size A)
};

/// Points of 1/72 in, whole ones for A4.
struct PaperSize {
  double width = 0.0, height = 0.0;
};

[[nodiscard]] PaperSize size_of(Paper paper);

/// "a4" or "letter"; nothing for another word.
[[nodiscard]] std::optional<Paper> paper_named(std::string_view name);

}  // namespace trammel
