#pragma once

/// The sheet of an old and a new scan, in the look of an inspection's.

#include <filesystem>
#include <string>
#include <vector>

#include "trammel/model/changes.hpp"
#include "trammel/report/paper.hpp"
#include "trammel/report/splat_picture.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

/// All core points: those of the old scan by change, hatched where only it shows them; those of the
/// new scan alone dotted.
[[nodiscard]] Splats splats_of(const Changes& changes);

/// The view that shows the changes best (all of the surface where there are none), and the one
/// after it from elsewhere.
[[nodiscard]] std::vector<View> changes_views(const Changes& changes);

/// sheet.pdf: verdict, pictures with balloons, what changed, may it be believed; then the tables.
[[nodiscard]] std::string changes_pdf(const Changes& changes, Paper paper = Paper::A4);

/// sheet.html: the same words, pictures and tables; one file, no script, no outside request.
[[nodiscard]] std::string changes_html(const Changes& changes);

/// Writes sheet.pdf, sheet.html, result.json, changes.csv and changed.ply, all or nothing.
/// @throws Error Output
void write_changes_report(const Changes& changes, const std::filesystem::path& folder,
                          Paper paper = Paper::A4,
                          const std::vector<std::filesystem::path>& inputs = {});

}  // namespace trammel
