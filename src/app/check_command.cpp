#include <CLI/CLI.hpp>
#include <iostream>

#include "commands.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/run_info.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

Plan plan_of(const CheckOptions& options) {
  if (!options.plan.empty()) return read_plan(options.plan);
  Plan plan = plan_for_design(options.design);
  if (options.band_mm) plan.band = {*options.band_mm, *options.band_mm};
  plan.uncertainty_mm = options.uncertainty_mm;
  return plan;
}

fs::path sheet_folder(const CheckOptions& options) {
  if (!options.out.empty()) return options.out;
  return options.scan.stem().string() + "-sheet";
}

/// Either a plan, or a design with what a plan would have said.
void check_choice(const CheckOptions& options) {
  const bool has_plan = !options.plan.empty(), has_design = !options.design.empty();
  if (has_plan == has_design) {
    throw Error(ErrorKind::Usage, "check",
                has_plan ? "expected a plan or --design, found both"
                         : "expected a plan or --design, found neither",
                "Give PLAN.toml, or --design FILE with --band MM");
  }
  if (has_plan && (options.band_mm || options.uncertainty_mm)) {
    throw Error(ErrorKind::Usage, "check",
                "expected --band and --uncertainty with --design only, found them beside a plan",
                "Write them into the plan: over and under in [band], uncertainty in [scan]");
  }
}

}  // namespace

CLI::App* add_check(CLI::App& app, CheckOptions& options) {
  CLI::App* command = app.add_subcommand("check", "Check a scan against a plan or a design");
  command->add_option("plan", options.plan, "Inspection plan (TOML)")->option_text("PLAN.toml");
  command->add_option("--design", options.design, "Design mesh, instead of a plan")
      ->option_text("FILE");
  command->add_option("--scan", options.scan, "Scan: STL, PLY, OBJ, OFF or XYZ")
      ->required()
      ->option_text("FILE");
  command
      ->add_option("--band", options.band_mm, "Deviation allowed to either side, mm (default 0.5)")
      ->check(CLI::PositiveNumber)
      ->option_text("MM");
  command
      ->add_option("--uncertainty", options.uncertainty_mm,
                   "U (k = 2) of one reading, mm (default: from the scan)")
      ->check(CLI::NonNegativeNumber)
      ->option_text("MM");
  command->add_option("--out", options.out, "Folder of the sheet (default: SCAN-sheet)")
      ->option_text("DIR");
  command->add_flag("--prove", options.prove,
                    "Measure every reading again by brute force, not 1,000 of them");
  command->add_option("--json", options.json, "With -: result.json to stdout, not the summary")
      ->check(CLI::IsMember({"-"}))
      ->option_text("-");
  command->footer(
      "Example: trammel check bracket.toml --scan bracket.ply --out bracket-sheet\n"
      "Example: trammel check --design bracket.stl --scan bracket.ply --band 0.5\n"
      "Example: trammel check bracket.toml --scan bracket.ply --json - --quiet > result.json\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

int run_check(const CheckOptions& options, const Common& common) {
  check_choice(options);
  const fs::path folder = sheet_folder(options);
  check_folder(folder, {options.plan, options.design, options.scan});
  const Narrator narrate = narrator(common);
  const Plan plan = plan_of(options);
  const Inspection inspection = inspect(
      plan, options.scan, run_info_of_this_process(common.arguments), narrate, {options.prove});
  narrate("writing " + folder.string());
  write_report(inspection, folder);
  narrate({});
  std::cout << (options.json.empty() ? summary_text(inspection, folder) : result_json(inspection));
  std::cout.flush();
  switch (inspection.verdict.outcome) {
    case Outcome::Pass: return static_cast<int>(ExitCode::Pass);
    case Outcome::Fail: return static_cast<int>(ExitCode::Fail);
    case Outcome::Undecided:
    case Outcome::Listed: return static_cast<int>(ExitCode::Undecided);
  }
  return static_cast<int>(ExitCode::Undecided);
}

}  // namespace trammel::app
