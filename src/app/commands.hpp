#pragma once

/// One function a command: what it does once its options are read.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "trammel/base/time_left.hpp"
#include "trammel/inspect.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/scan.hpp"
#include "trammel/report/paper.hpp"

namespace CLI {
class App;
class Validator;
}  // namespace CLI

namespace trammel::app {

/// What is said where memory runs out; it stands ready, as none may be left to make words.
inline constexpr char kNoMemory[] =
    "not enough memory for this scan and design. Use a lighter scan";

/// Options that every command has.
struct Common {
  bool quiet = false;
  int threads = 0;                     ///< 0: as many as the machine has
  std::vector<std::string> arguments;  ///< argv, to stand on the sheet
};

/// --paper of commands that write a PDF.
struct PaperOption {
  std::string name = "a4";
};

struct CheckOptions {
  std::filesystem::path plan, design, out;
  std::vector<std::filesystem::path> scans;  ///< one or more
  std::optional<double> band_mm, uncertainty_mm;
  bool prove = false;
  std::string json;  ///< "-": result.json (overview.json) to stdout in place of the summary
  PaperOption paper;
};

/// --units of commands that have no plan.
struct UnitOption {
  std::string name = "auto";
};

struct ChangesOptions {
  std::filesystem::path old_scan, new_scan, out;
  double least_mm = 0.2, uncertainty_mm = 0.0;
  UnitOption units;
  std::string json;
  PaperOption paper;
};

struct LightenOptions {
  std::filesystem::path scan, out;
  double within_mm = 0.0;
  std::size_t triangles = 0;
  bool split = false;  ///< connected pieces
  bool faces = false;  ///< and those along creases
  UnitOption units;
};

struct SquareOptions {
  std::filesystem::path scan, out;
  std::string up, above, forward, origin;  ///< places, "X,Y,Z"
  UnitOption units;
  PaperOption paper;
};

/// Says on stderr what is going on, or nothing with --quiet; on a terminal also for how long, and
/// with shares how much longer. With nothing to say the last stage has ended: whoever writes to
/// stdout says so first.
/// @param shares  of the time that the command's stages usually take where it takes long
[[nodiscard]] Narrator narrator(const Common& common, const std::vector<StageShare>& shares = {});

/// Checks of what an option is given, one message each. CLI11's own let through what is no number.
[[nodiscard]] CLI::Validator length_above_zero();
[[nodiscard]] CLI::Validator length_from_zero();
[[nodiscard]] CLI::Validator count_above_zero();

void add_paper_option(CLI::App& command, PaperOption& option);
[[nodiscard]] Paper paper_of(const PaperOption& option);

void add_unit_option(CLI::App& command, UnitOption& option);
[[nodiscard]] Unit unit_of(const UnitOption& option);
/// The unit that was given, or the one that the size suggests. @param diagonal  in file units
[[nodiscard]] UnitChoice unit_of_file(const UnitOption& option, double diagonal);

/// The folder that is taken without --out: "<stem of the file><ending>", in the working directory;
/// so much of the stem that file systems take the name and a few letters more.
[[nodiscard]] std::filesystem::path default_folder(const std::filesystem::path& file,
                                                   const std::string& ending);

/// The report never overwrites what it was made from, and a file in its way is told of before the
/// work rather than after it.
/// @throws Error Output
void check_folder(const std::filesystem::path& folder,
                  const std::vector<std::filesystem::path>& inputs);

/// Adds the command with its options and help; `parse` of `app` fills the options.
CLI::App* add_check(CLI::App& app, CheckOptions& options);
CLI::App* add_changes(CLI::App& app, ChangesOptions& options);
CLI::App* add_lighten(CLI::App& app, LightenOptions& options);
CLI::App* add_look(CLI::App& app, std::vector<std::string>& files);
CLI::App* add_square(CLI::App& app, SquareOptions& options);

/// Checks scans against a plan or a design and writes their sheets. @return the worst exit code
[[nodiscard]] int run_check(const CheckOptions& options, const Common& common);

/// Says what changed between two scans and writes the sheet. @return 0 unchanged, 1 changed, 2
[[nodiscard]] int run_changes(const ChangesOptions& options, const Common& common);

/// Writes a lighter mesh and says how far it strays. @return 0
[[nodiscard]] int run_lighten(const LightenOptions& options, const Common& common);

/// Writes the scan set square and what is known of its axes. @return 0, or 2 when one is a guess
[[nodiscard]] int run_square(const SquareOptions& options, const Common& common);

/// Prints what files hold. @return 0
[[nodiscard]] int run_look(const std::vector<std::string>& files);

/// All commands and their options; one of them has been chosen once the command line is read.
class Commands {
 public:
  explicit Commands(CLI::App& app);
  Commands(const Commands&) = delete;
  Commands& operator=(const Commands&) = delete;
  [[nodiscard]] static std::vector<std::string> names();
  /// Runs the chosen one. @return the exit code
  /// @throws Error Output when stdout does not take the answer
  [[nodiscard]] int run(const Common& common) const;

 private:
  [[nodiscard]] int run_chosen(const Common& common) const;

  ChangesOptions changes_;
  CheckOptions check_;
  LightenOptions lighten_;
  SquareOptions square_;
  std::vector<std::string> look_;
  const CLI::App *changes_command_, *check_command_, *lighten_command_, *square_command_;
};

}  // namespace trammel::app
