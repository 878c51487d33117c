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

struct ChangesOptions {
  std::filesystem::path old_scan, new_scan, out;
  double least_mm = 0.2, uncertainty_mm = 0.0;
  std::string units = "auto", json;
};

/// The report never overwrites what it was made from, and a file in its way is told of before the
/// work rather than after it.
/// @throws Error Output
void check_folder(const std::filesystem::path& folder,
                  const std::vector<std::filesystem::path>& inputs);

/// Adds the command with its options and help; `parse` of `app` fills the options.
CLI::App* add_check(CLI::App& app, CheckOptions& options);
CLI::App* add_changes(CLI::App& app, ChangesOptions& options);
CLI::App* add_look(CLI::App& app, std::vector<std::string>& files);

/// Checks a scan against a plan or a design and writes the sheet. @return the verdict's exit code
[[nodiscard]] int run_check(const CheckOptions& options, const Common& common);

/// Says what changed between two scans and writes the sheet. @return 0 unchanged, 1 changed, 2
[[nodiscard]] int run_changes(const ChangesOptions& options, const Common& common);

/// Prints what files hold. @return 0
[[nodiscard]] int run_look(const std::vector<std::string>& files);

}  // namespace trammel::app
