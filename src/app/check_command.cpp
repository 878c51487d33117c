#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "check_parts.hpp"
#include "plain_output.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/run_info.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

fs::path sheet_folder(const CheckOptions& options) {
  return options.out.empty() ? default_folder(options.scans.front(), "-sheet") : options.out;
}

/// --scan takes all files after it, as a shell gives them for *.ply; a plan among them is the plan.
CheckOptions with_plan(CheckOptions options) {
  const auto plan = std::find_if(options.scans.begin(), options.scans.end(),
                                 [](const fs::path& file) { return file.extension() == ".toml"; });
  if (!options.plan.empty() || !options.design.empty() || plan == options.scans.end())
    return options;
  options.plan = *plan;
  options.scans.erase(plan);
  if (options.scans.empty()) {
    throw Error(ErrorKind::Usage, "--scan", "expected a scan, found a plan alone",
                "Give a scan as well: --scan FILE");
  }
  return options;
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

Plan plan_of(const CheckOptions& options) {
  if (!options.plan.empty()) return read_plan(options.plan);
  Plan plan = plan_for_design(options.design);
  if (options.band_mm) plan.band = {*options.band_mm, *options.band_mm};
  plan.uncertainty_mm = options.uncertainty_mm;
  return plan;
}

std::vector<fs::path> inputs_of(const CheckOptions& options, const Plan& plan) {
  std::vector<fs::path> inputs = options.scans;
  inputs.insert(inputs.end(), {options.plan, options.design, plan.design_path});
  for (const MateCheck& mate : plan.mates)
    inputs.push_back(mate.scan_path);
  return inputs;
}

CLI::App* add_check(CLI::App& app, CheckOptions& options) {
  CLI::App* command = app.add_subcommand("check", "Check a scan against a plan or a design");
  command->add_option("plan", options.plan, "Inspection plan (TOML)")->option_text("PLAN.toml");
  command->add_option("--design", options.design, "Design mesh, instead of a plan")
      ->option_text("FILE");
  command
      ->add_option(
          "--scan", options.scans,
          "Scan: STL, PLY, OBJ, OFF or XYZ. With several, or --scan again, all are checked")
      ->required()
      ->option_text("FILE...");
  command
      ->add_option("--band", options.band_mm, "Deviation allowed to either side, mm (default 0.5)")
      ->check(length_above_zero())
      ->option_text("MM");
  command
      ->add_option("--uncertainty", options.uncertainty_mm,
                   "U (k = 2) of one reading, mm (default: from the scan)")
      ->check(length_from_zero())
      ->option_text("MM");
  command
      ->add_option("--out", options.out,
                   "Folder of the sheet (default: SCAN-sheet), or of all sheets (PLAN-sheets)")
      ->option_text("DIR");
  add_paper_option(*command, options.paper);
  command->add_flag("--prove", options.prove,
                    "Measure every reading again by brute force, not 1,000 of them");
  command
      ->add_option(
          "--json", options.json,
          "With -: result.json (of several scans overview.json) to stdout, not the summary")
      ->check(CLI::IsMember({"-"}))
      ->option_text("-");
  command->footer(
      "Example: trammel check bracket.toml --scan bracket.ply --out bracket-sheet\n"
      "Example: trammel check --design bracket.stl --scan bracket.ply --band 0.5\n"
      "Example: trammel check bracket.toml --scan bracket.ply --json - --quiet > result.json\n"
      "Example: trammel check bracket.toml --scan monday/*.ply --out monday-sheets\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

/// Of 10 million points against 2.8 million triangles: reports/speed.md.
std::vector<StageShare> usual_shares(const std::string& prefix) {
  return {{prefix + "reading", 15},
          {prefix + "aligning", 25},
          {prefix + "comparing", 30},
          {prefix + "judging", 13},
          {prefix + "writing", 17}};
}

int run_check(const CheckOptions& given, const Common& common) {
  const CheckOptions options = with_plan(given);
  check_choice(options);
  if (options.scans.size() > 1) return run_batch(options, common);
  const fs::path scan = options.scans.front(), folder = sheet_folder(options);
  check_folder(folder, {options.plan, options.design, scan});
  const Narrator narrate = narrator(common, usual_shares());
  const Plan plan = plan_of(options);
  const Inspection inspection =
      inspect(plan, scan, run_info_of_this_process(common.arguments), narrate, {options.prove});
  narrate("writing " + folder.string());
  write_report(inspection, folder, paper_of(options.paper), inputs_of(options, plan));
  narrate({});
  if (options.json.empty())
    std::cout << summary_text(inspection, folder) << std::flush;
  else
    print_json(result_json(inspection));
  return static_cast<int>(exit_code_of(inspection.verdict.outcome));
}

}  // namespace trammel::app
