#pragma once

/// One function a command: what it does once its options are read.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace trammel::app {

/// Options that every command has.
struct Common {
  bool quiet = false;
  int threads = 0;                     ///< 0: as many as the machine has
  std::vector<std::string> arguments;  ///< argv, to stand on the sheet
};

struct CheckOptions {
  std::filesystem::path plan, design, scan, out;
  std::optional<double> band_mm, uncertainty_mm;
  std::string json;  ///< "-": result.json to stdout in place of the summary
};

/// Adds the command with its options and help; `parse` of `app` fills the options.
CLI::App* add_check(CLI::App& app, CheckOptions& options);
CLI::App* add_look(CLI::App& app, std::vector<std::string>& files);

/// Checks a scan against a plan or a design and writes the sheet. @return the verdict's exit code
[[nodiscard]] int run_check(const CheckOptions& options, const Common& common);

/// Prints what files hold. @return 0
[[nodiscard]] int run_look(const std::vector<std::string>& files);

}  // namespace trammel::app
