#pragma once

/// The whole way: read → tidy → align → compare → judge. Reports are made from what it returns.

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "trammel/base/run_info.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/inspection.hpp"

namespace trammel {

/// A scan tidied, in the unit it was taken to be in, and set on the design.
struct Placed {
  Scan scan;  ///< mm, scan frame
  UnitChoice units;
  TidyCounts tidy;
  Alignment alignment;
};

/// The first half of the way: tries the units that the sizes allow, likeliest first, and keeps the
/// first that fits beyond doubt. Surfaces of the design that nobody can see from outside
/// (geometry/seen_from_outside.hpp) take no part in it.
/// @param raw  as read, in the file's own unit
/// @throws Error Input when no unit fits, or tidying leaves fewer than 3 points
[[nodiscard]] Placed place(const Scan& raw, const SurfaceIndex& design, const Plan& plan);

/// Told as each stage begins, in a few words ("aligning"); may be empty.
using Narrator = std::function<void(const std::string&)>;

struct InspectSettings {
  bool prove_all = false;  ///< measure every reading again (compare/prove_readings.hpp), not some
};

/// @throws Error for files and plans that make no sense, and Internal when readings measured again
///         by other means differ; everything else is in the verdict
[[nodiscard]] Inspection inspect(const Plan& plan, const std::filesystem::path& scan_file,
                                 const RunInfo& run, const Narrator& narrate = {},
                                 const InspectSettings& inspect_settings = {});

/// Reads and measures the scans of what the part is bolted to, in the plan's order.
/// @throws Error Missing or Input for a scan that cannot be read
[[nodiscard]] std::vector<Mate> measure_mates(const Plan& plan, const Narrator& narrate = {});

/// The same from values already read.
/// @param mates  of `measure_mates`; a mate of the plan without one leaves its bolts undecided
[[nodiscard]] Inspection inspect(Design design, RawScan source, const Plan& plan,
                                 const RunInfo& run, const Narrator& narrate = {},
                                 const InspectSettings& inspect_settings = {},
                                 const std::vector<Mate>& mates = {});

}  // namespace trammel
