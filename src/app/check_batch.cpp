#include <algorithm>
#include <cctype>
#include <iostream>
#include <new>

#include "check_parts.hpp"
#include "plain_output.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/folder_lock.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/report/overview.hpp"
#include "trammel/report/overview_tables.hpp"
#include "trammel/report/report.hpp"
#include "trammel/report/words.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

/// What the scans of a batch share, read once.
struct Batch {
  const CheckOptions& options;
  const Common& common;
  Plan plan;
  Design design;
  std::vector<Mate> mates;
  fs::path folder;
};

fs::path batch_folder(const CheckOptions& options) {
  if (!options.out.empty()) return options.out;
  return default_folder(options.plan.empty() ? options.design : options.plan, "-sheets");
}

std::string lower(std::string text) {
  for (char& c : text)
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  return text;
}

/// A name a scan, none twice, also where a file system does not tell capitals from small letters.
std::vector<std::string> folder_names(const std::vector<fs::path>& scans) {
  std::vector<std::string> names, taken;
  for (const fs::path& scan : scans) {
    const std::string first = default_folder(scan, "-sheet").string();
    std::string name = first;
    for (int n = 2; std::count(taken.begin(), taken.end(), lower(name)) > 0; ++n)
      name = first + "-" + std::to_string(n);
    taken.push_back(lower(name));
    names.push_back(name);
  }
  return names;
}

/// The command that checks this scan alone: it stands on its sheet.
std::vector<std::string> arguments_for(const Batch& batch, const fs::path& scan,
                                       const fs::path& folder) {
  const CheckOptions& options = batch.options;
  std::vector<std::string> words = {batch.common.arguments.front(), "check"};
  const auto add = [&](const std::string& option, const std::string& value) {
    words.insert(words.end(), {option, value});
  };
  if (options.plan.empty()) {
    add("--design", options.design.string());
    if (options.band_mm) add("--band", shortest(*options.band_mm));
    if (options.uncertainty_mm) add("--uncertainty", shortest(*options.uncertainty_mm));
  } else {
    words.push_back(options.plan.string());
  }
  add("--scan", scan.string());
  add("--out", folder.string());
  if (paper_of(options.paper) != Paper::A4) add("--paper", options.paper.name);
  if (options.prove) words.push_back("--prove");
  return words;
}

OverviewEntry check_one(const Batch& batch, const fs::path& scan, const std::string& name,
                        const Narrator& narrate) {
  const fs::path folder = batch.folder / name;
  check_folder(folder, {batch.options.plan, batch.options.design, scan});
  narrate("reading " + scan.filename().string());
  RawScan source = read_scan(scan);
  const RunInfo run = run_info_of_this_process(arguments_for(batch, scan, folder));
  const Inspection inspection = inspect(batch.design, std::move(source), batch.plan, run, narrate,
                                        {batch.options.prove}, batch.mates);
  narrate("writing " + folder.string());
  const Picture front = write_report(inspection, folder, paper_of(batch.options.paper),
                                     inputs_of(batch.options, batch.plan));
  return overview_entry(inspection, scan.filename().string(), name, front);
}

OverviewEntry stopped(const OverviewEntry& waiting, const std::string& message, ExitCode code,
                      const Narrator& narrate) {
  narrate({});
  std::cerr << "trammel: " << printable(message) << '\n';
  OverviewEntry entry = waiting;
  entry.state = ScanState::Stopped;
  entry.error = printable(message);
  entry.code = code;
  return entry;
}

/// Whatever stops one scan, the others go on.
OverviewEntry check_or_tell(const Batch& batch, const fs::path& scan, const OverviewEntry& waiting,
                            const Narrator& narrate) {
  try {
    return check_one(batch, scan, waiting.folder, narrate);
  } catch (const Error& error) {
    return stopped(waiting, error.what(), exit_code_of(error.kind()), narrate);
  } catch (const std::bad_alloc&) {
    return stopped(waiting, scan.string() + ": " + kNoMemory, ExitCode::Internal, narrate);
  } catch (const std::exception& error) {
    return stopped(waiting, scan.string() + ": unexpected: " + error.what(), ExitCode::Internal,
                   narrate);
  }
}

Overview all_waiting(const Batch& batch, const std::vector<std::string>& names) {
  Overview overview;
  overview.run = run_info_of_this_process(batch.common.arguments);
  overview.plan = batch.plan.file.filename().string();
  overview.part = part_title(batch.plan, batch.design.file);
  for (std::size_t i = 0; i < names.size(); ++i) {
    OverviewEntry entry;
    entry.scan = batch.options.scans[i].filename().string();
    entry.folder = names[i];
    overview.entries.push_back(std::move(entry));
  }
  return overview;
}

std::string turn_of(std::size_t scan, std::size_t scans) {
  return "scan " + std::to_string(scan + 1) + " of " + std::to_string(scans) + ": ";
}

std::vector<StageShare> shares_of_all(std::size_t scans) {
  std::vector<StageShare> all;
  for (std::size_t i = 0; i < scans; ++i)
    for (const StageShare& one : usual_shares(turn_of(i, scans)))
      all.push_back(one);
  return all;
}

}  // namespace

int run_batch(const CheckOptions& options, const Common& common) {
  const Narrator narrate = narrator(common, shares_of_all(options.scans.size()));
  Batch batch{options, common, plan_of(options), {}, {}, batch_folder(options)};
  check_folder(batch.folder, inputs_of(options, batch.plan));
  narrate("reading " + batch.plan.design_path.filename().string());
  batch.design = read_design(batch.plan.design_path, batch.plan.design_units);
  batch.mates = measure_mates(batch.plan, narrate);
  Overview overview = all_waiting(batch, folder_names(options.scans));
  make_folder(batch.folder);
  const FolderLock lock(batch.folder);
  // An old overview would tell of sheets that are about to be replaced.
  write_overview(overview, batch.folder);
  for (std::size_t i = 0; i < options.scans.size(); ++i) {
    const std::string turn = turn_of(i, options.scans.size());
    overview.entries[i] =
        check_or_tell(batch, options.scans[i], overview.entries[i],
                      [&](const std::string& what) { narrate(what.empty() ? what : turn + what); });
    write_overview(overview, batch.folder);
  }
  narrate({});
  if (options.json.empty())
    std::cout << overview_text(overview, batch.folder) << std::flush;
  else
    print_json(overview_json(overview));
  return static_cast<int>(worst_code(overview));
}

}  // namespace trammel::app
