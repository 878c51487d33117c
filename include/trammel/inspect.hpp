#pragma once

/// The whole way: read → tidy → align → compare → judge. Reports are made from what it returns.

#include <filesystem>
#include <functional>
#include <string>

#include "trammel/base/run_info.hpp"
#include "trammel/model/inspection.hpp"

namespace trammel {

/// Told as each stage begins, in a few words ("aligning"); may be empty.
using Narrator = std::function<void(const std::string&)>;

/// @throws Error for files and plans that make no sense; everything else is in the verdict
[[nodiscard]] Inspection inspect(const Plan& plan, const std::filesystem::path& scan_file,
                                 const RunInfo& run, const Narrator& narrate = {});

/// The same from values already read.
[[nodiscard]] Inspection inspect(Design design, RawScan source, const Plan& plan,
                                 const RunInfo& run, const Narrator& narrate = {});

}  // namespace trammel
