#include <CLI/CLI.hpp>
#include <iostream>

#include "commands.hpp"
#include "plain_output.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/run_info.hpp"
#include "trammel/compare_scans.hpp"
#include "trammel/report/changes_files.hpp"
#include "trammel/report/changes_sheet.hpp"
#include "trammel/report/changes_words.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

fs::path folder_of_changes(const ChangesOptions& options) {
  return options.out.empty() ? default_folder(options.new_scan, "-sheet") : options.out;
}

}  // namespace

CLI::App* add_changes(CLI::App& app, ChangesOptions& options) {
  CLI::App* command =
      app.add_subcommand("changes", "Say what changed between an old and a new scan");
  command->add_option("old", options.old_scan, "Old scan: STL, PLY, OBJ, OFF or XYZ")
      ->required()
      ->option_text("OLD");
  command->add_option("new", options.new_scan, "New scan of the same thing, in any pose")
      ->required()
      ->option_text("NEW");
  command
      ->add_option("--least", options.least_mm,
                   "Smallest change that matters, mm (default 0.2); less is not told")
      ->check(length_above_zero())
      ->option_text("MM");
  command
      ->add_option("--uncertainty", options.uncertainty_mm,
                   "U (k = 2) of a reading that does not average out, mm (default 0)")
      ->check(length_from_zero())
      ->option_text("MM");
  add_unit_option(*command, options.units);
  add_paper_option(*command, options.paper);
  command->add_option("--out", options.out, "Folder of the sheet (default: NEW-sheet)")
      ->option_text("DIR");
  command->add_option("--json", options.json, "With -: result.json to stdout, not the summary")
      ->check(CLI::IsMember({"-"}))
      ->option_text("-");
  command->footer(
      "Example: trammel changes wing-before.ply wing-after.ply --least 0.3 --out wing-changes\n"
      "Exit codes: 0 nothing changed, 1 changed, 2 undecided.\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

int run_changes(const ChangesOptions& options, const Common& common) {
  const fs::path folder = folder_of_changes(options);
  check_folder(folder, {options.old_scan, options.new_scan});
  // Of the time for millions of points: reports/speed.md, "The bar on the terminal".
  const Narrator narrate =
      narrator(common, {{"reading", 24}, {"aligning", 7}, {"measuring", 68}, {"writing", 1}});
  ChangesSettings settings;
  settings.least_mm = options.least_mm;
  settings.uncertainty_mm = options.uncertainty_mm;
  const Changes changes =
      compare_scans(options.old_scan, options.new_scan, settings, unit_of(options.units),
                    run_info_of_this_process(common.arguments), narrate);
  narrate("writing " + folder.string());
  write_changes_report(changes, folder, paper_of(options.paper),
                       {options.old_scan, options.new_scan});
  narrate({});
  if (options.json.empty())
    std::cout << changes_summary(changes, folder) << std::flush;
  else
    print_json(changes_json(changes));
  switch (changes.outcome) {
    case ChangesOutcome::Unchanged: return static_cast<int>(ExitCode::Pass);
    case ChangesOutcome::Changed: return static_cast<int>(ExitCode::Fail);
    case ChangesOutcome::Undecided: break;
  }
  return static_cast<int>(ExitCode::Undecided);
}

}  // namespace trammel::app
