#pragma once

/// Everything a check leaves behind, from one Inspection value.

#include <filesystem>
#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/report/paper.hpp"
#include "trammel/report/picture.hpp"

namespace trammel {

/// The summary for a terminal: verdict, then where, then what to do; ten lines at most.
/// @param sheet_folder  named in the last line
[[nodiscard]] std::string summary_text(const Inspection& inspection,
                                       const std::filesystem::path& sheet_folder);

/// result.json, byte for byte the same for the same inputs (DESIGN.md §8).
[[nodiscard]] std::string result_json(const Inspection& inspection);

/// deviation.ply: binary, the kept scan points in design coordinates (mm) with normal where known,
/// red/green/blue by band steps and a float scalar `deviation` (NaN where nothing was measured).
[[nodiscard]] std::string deviation_ply(const Inspection& inspection);

/// aligned-scan.ply: the same points and normals alone, for use in CAD.
[[nodiscard]] std::string aligned_scan_ply(const Inspection& inspection);

/// sheet.pdf.
[[nodiscard]] std::string sheet_pdf(const Inspection& inspection, Paper paper = Paper::A4);

/// sheet.html: the same words, tables and colours, and the part to turn; one file, no outside
/// request.
[[nodiscard]] std::string sheet_html(const Inspection& inspection);

/// Writes sheet.pdf, sheet.html, result.json, regions.csv, holes.csv, slots.csv, deviation.ply,
/// deviation.glb, aligned-scan.ply and the sheet's pictures in views/ into the folder, all or
/// nothing.
/// @param inputs  files that the run read: none of them is overwritten
/// @throws Error Output
/// @return the first view, without balloons
Picture write_report(const Inspection& inspection, const std::filesystem::path& folder,
                     Paper paper = Paper::A4,
                     const std::vector<std::filesystem::path>& inputs = {});

}  // namespace trammel
