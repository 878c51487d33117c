#pragma once

/// Many scans checked against one plan, side by side: overview.html, overview.csv, overview.json.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/picture.hpp"

namespace trammel {

enum class ScanState {
  Waiting,  ///< its turn has not come, or the run was ended before it came
  Checked,  ///< there is a sheet
  Stopped,  ///< there is none, and `error` says why
};

/// The hole that used most of the position zone that the plan gives it.
struct WorstHole {
  std::string name;          ///< printable
  double position_mm = 0.0;  ///< measured, as a diameter (ISO 1101)
  double allowed_mm = 0.0;   ///< of the plan
};

/// What the overview says of one scan.
struct OverviewEntry {
  std::string scan;    ///< file name without folder, as it is
  std::string folder;  ///< of its sheet, a name beside the overview
  ScanState state = ScanState::Waiting;
  std::string error;                ///< one message, printable; of a Stopped one
  ExitCode code = ExitCode::Pass;   ///< what `check` of this scan alone would end with
  std::optional<Outcome> outcome;   ///< of a Checked one
  std::string sentence;             ///< under its verdict
  std::string worst;                ///< its worst finding in words, or why it is undecided
  NearestReading proud, shy;        ///< the worst to either side; not found where the pose is in
                                    ///< doubt or nothing was read on that side
  std::optional<WorstHole> hole;    ///< absent where no hole was measured against a place
  std::optional<Outcome> bolts_up;  ///< the worst group of bolts; absent where there is none
  double seen_fraction = 0.0;       ///< of the design's surface
  double uncertainty_mm = 0.0;      ///< U (k = 2) of one reading
  int decimals = 2;                 ///< of lengths
  std::string picture_png;          ///< small; empty for none
};

/// One run. Entries stand in the order the scans were given in.
struct Overview {
  RunInfo run;
  std::string part;  ///< title of the plan, or file name of the design; printable
  std::string plan;  ///< file name of the plan, empty when it came from the command line
  std::vector<OverviewEntry> entries;
};

/// What the overview will say of a scan that was checked.
/// @param scan    file name as given, without folder
/// @param folder  name of the folder with its sheet
/// @param front   the sheet's first view; it is made small
[[nodiscard]] OverviewEntry overview_entry(const Inspection& inspection, const std::string& scan,
                                           const std::string& folder, const Picture& front);

/// The whole run in one word: fail when one fails, pass only when all were checked and passed.
[[nodiscard]] Outcome outcome_of(const Overview& overview);

/// The worst exit code: a scan that could not be checked (the highest number of 64 and above)
/// before fail before undecided before pass. A Waiting scan counts as undecided.
[[nodiscard]] ExitCode worst_code(const Overview& overview);

/// "12 scans: 9 pass, 2 fail, one could not be checked."
[[nodiscard]] std::string overview_sentence(const Overview& overview);

/// For a terminal: the sentence, then a line a scan, then where the overview is.
[[nodiscard]] std::string overview_text(const Overview& overview,
                                        const std::filesystem::path& folder);

/// Writes the three files, each of them whole or not at all; nothing else in the folder is touched.
/// @throws Error Output
void write_overview(const Overview& overview, const std::filesystem::path& folder);

}  // namespace trammel
