#pragma once

/// The columns in the middle of page 1, for each verdict.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "trammel/report/findings.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

constexpr std::size_t kFrontEntries = 3;  ///< of a column, at most

struct FrontEntry {
  std::string balloon;  ///< a region's number or a hole's name; empty when it is about neither
  Rgb colour;           ///< of the balloon
  std::string title, detail;
  std::string mark{};                ///< of the region, hole or flaw, empty when it is about none
  std::optional<Outcome> outcome{};  ///< an answer of its own, to be marked as a verdict is
};

struct FrontColumn {
  std::string heading;
  std::vector<FrontEntry> entries;  ///< at most three
  std::size_t most_lines = 3;       ///< on paper, of a title and of a detail; the rest is cut
};

/// Fail: what is wrong. Undecided: what is in doubt. Pass: what was checked.
[[nodiscard]] FrontColumn left_column(const SheetContext& context);
/// Fail: what to do. Undecided: what would settle it. Pass: how near the limits it came.
[[nodiscard]] FrontColumn right_column(const SheetContext& context);

/// Why the verdict is what it is, as far as no finding says so: coverage, alignment, design, what
/// stands on the part.
[[nodiscard]] std::vector<std::string> reasons_without_finding(const SheetContext& context);

/// Whether the figures may be believed: the four lines that always stand there, then what else
/// helps; name and words.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> trust_lines(
    const SheetContext& context);

/// What a sheet is not; the same on every one.
[[nodiscard]] std::string caution_words();

/// "best fit", "as scanned", and what is free or in doubt.
[[nodiscard]] std::string held_words(const Alignment& alignment);
/// "0.031 mm rms, one pose".
[[nodiscard]] std::string alignment_words(const Inspection& inspection);

}  // namespace trammel
