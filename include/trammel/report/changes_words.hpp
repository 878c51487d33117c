#pragma once

/// What is said of an old and a new scan, once for paper, page and terminal.

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "trammel/model/changes.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/sheet_writer.hpp"

namespace trammel {

/// "Changed", "Unchanged", "Undecided".
[[nodiscard]] std::string changes_word(ChangesOutcome outcome);
/// The one sentence under it.
[[nodiscard]] std::string changes_sentence(const Changes& changes);
/// Decimals of lengths: one finer than `least` is written, 1 to 3.
[[nodiscard]] int changes_decimals(const Changes& changes);

/// What changed, the largest three; or why it is undecided, or what was found alike.
[[nodiscard]] FrontColumn changes_column(const Changes& changes);
/// Pose, seen again, level of detection, scales: name and words.
[[nodiscard]] std::vector<std::pair<std::string, std::string>> changes_trust(
    const Changes& changes);

/// What the colours mean, shy to proud, then "unsure".
[[nodiscard]] std::vector<std::pair<Rgb, std::string>> changes_keys(const Changes& changes);

/// Changes, areas, alignment, scales, files and notes, in that order.
void write_changes_tables(SheetWriter& writer, const Changes& changes);

/// The summary for a terminal; ten lines at most. @param folder  named in the last line
[[nodiscard]] std::string changes_summary(const Changes& changes,
                                          const std::filesystem::path& folder);

}  // namespace trammel
