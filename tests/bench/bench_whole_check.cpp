/// The whole check of a 100,000-point scan against about 3,000 triangles: files in, sheet out, in
/// one process, with the time of each stage taken as `inspect` tells of it.

#include <Eigen/Core>
#include <filesystem>
#include <iostream>
#include <map>
#include <string>
#include <vector>

#include "bench/bench_table.hpp"
#include "support/mesh_files.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace {

using namespace trammel;
namespace fs = std::filesystem;

/// Milliseconds of every run, by stage, in the order in which the stages come.
struct StageTimes {
  std::vector<std::string> order;
  std::map<std::string, std::vector<double>> times_ms;

  void add(const std::string& stage, double time_ms) {
    if (times_ms.count(stage) == 0) order.push_back(stage);
    times_ms[stage].push_back(time_ms);
  }
};

/// The part cut finer, so that it has about 3,000 triangles.
Mesh about_3000_triangles(const Mesh& part) {
  for (double edge_mm = 40.0; edge_mm > 1.0; edge_mm *= 0.9) {
    Mesh finer = test::refined(part, edge_mm);
    if (finer.triangles.cols() >= 3000) return finer;
  }
  return part;
}

/// What `trammel check --design part.stl --scan scan.ply` does.
void check_once(const fs::path& folder, StageTimes& times) {
  bench::Stopwatch whole, watch;
  const Plan plan = plan_for_design(folder / "part.stl");
  Design design = read_design(plan.design_path, plan.design_units);
  RawScan source = read_scan(folder / "scan.ply");
  std::string stage = "read";
  const auto next = [&](const std::string& begun) {
    times.add(stage, watch.lap_ms());
    stage = begun;
  };
  next("index");
  const Inspection inspection =
      inspect(std::move(design), std::move(source), plan, {"bench", "2026-01-01", ""},
              [&](const std::string& told) { next(told.substr(0, told.find(' '))); });
  next("writing");
  write_report(inspection, folder / "sheet");
  next("");
  times.add("whole check", whole.lap_ms());
}

void bench_part(const std::string& name, const Mesh& part, bool with_normals, int threads,
                const fs::path& folder) {
  test::ScannerSettings settings;
  settings.points = 100000;
  settings.with_normals = with_normals;
  const Mesh design = about_3000_triangles(part);
  const test::VirtualScan scan = test::scan_of(part, settings, Rng(5));
  write_file_whole(folder / "part.stl", test::stl_bytes(design));
  write_file_whole(folder / "scan.ply", test::ply_bytes(scan.scan));

  const ThreadLimit limit(threads);
  bench::forget_peak_rss();
  StageTimes warm_up, times;
  check_once(folder, warm_up);
  for (int run = 0; run < bench::kRuns; ++run)
    check_once(folder, times);
  const std::string label =
      name + " of " + std::to_string(design.triangles.cols()) + " triangles: ";
  for (const std::string& stage : times.order)
    bench::print_row(label + stage, static_cast<std::size_t>(scan.scan.size()), threads,
                     times.times_ms.at(stage));
}

}  // namespace

int main() {
  std::string pattern = (fs::temp_directory_path() / "trammel-bench-XXXXXX").string();
  if (mkdtemp(pattern.data()) == nullptr) return 73;
  const fs::path folder = pattern;
  bench::print_header();
  for (const int threads : {1, 2}) {
    bench_part("bracket with normals", test::bracket(), true, threads, folder);
    bench_part("bracket without normals", test::bracket(), false, threads, folder);
    bench_part("housing without normals", test::housing(), false, threads, folder);
  }
  fs::remove_all(folder);
}
