#pragma once

/// The way of two scans: read → tidy → align → changes. Reports are made from what it returns.

#include <filesystem>

#include "trammel/inspect.hpp"
#include "trammel/model/changes.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

/// @param units  of both files; Auto guesses from their sizes and says so in the notes
/// @throws Error for files that make no sense; everything else is in the outcome
[[nodiscard]] Changes compare_scans(const std::filesystem::path& old_file,
                                    const std::filesystem::path& new_file,
                                    const ChangesSettings& settings, Unit units, const RunInfo& run,
                                    const Narrator& narrate = {});

/// The same from values already read.
[[nodiscard]] Changes compare_scans(RawScan old_scan, RawScan new_scan,
                                    const ChangesSettings& settings, Unit units, const RunInfo& run,
                                    const Narrator& narrate = {});

}  // namespace trammel
