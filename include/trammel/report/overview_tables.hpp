#pragma once

/// The overview for a spreadsheet and for a program.

#include <string>

#include "trammel/report/overview.hpp"

namespace trammel {

/// overview.csv: a head, then one line a scan; mm and shares, shortest digits, empty for what is
/// not known.
[[nodiscard]] std::string overview_csv(const Overview& overview);

/// overview.json: the same with the run's verdict and counts; null for what is not known.
[[nodiscard]] std::string overview_json(const Overview& overview);

}  // namespace trammel
