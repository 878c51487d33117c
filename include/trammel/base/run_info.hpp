#pragma once

/// What a run knows of its surroundings: the only door for time, version and command line.

#include <string>
#include <vector>

namespace trammel {

struct RunInfo {
  std::string version;       ///< of trammel, "0.1.0"
  std::string date;          ///< "2026-11-25", UTC; from SOURCE_DATE_EPOCH when that is set
  std::string command_line;  ///< to repeat the run
};

/// Reads clock and environment; `arguments` are argv, quoted for a shell where needed.
[[nodiscard]] RunInfo run_info_of_this_process(const std::vector<std::string>& arguments);

/// The version the build was made as (one place: the project() line of CMakeLists.txt).
[[nodiscard]] std::string program_version();

}  // namespace trammel
