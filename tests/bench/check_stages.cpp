#include "bench/check_stages.hpp"

#include <ctime>

#include "bench/bench_table.hpp"
#include "bench/wavy_housing.hpp"
#include "support/mesh_files.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/files.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace trammel::bench {
namespace {

/// Of all threads of this process.
double processor_ms() {
  return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

}  // namespace

void StageTimes::add(const std::string& stage, double time_ms) {
  if (times_ms.count(stage) == 0) order.push_back(stage);
  times_ms[stage].push_back(time_ms);
}

void write_inputs(const std::filesystem::path& folder, std::size_t points, Eigen::Index triangles) {
  const Mesh design = wavy_housing(triangles);
  test::ScannerSettings settings;
  settings.points = points;
  settings.with_normals = false;
  write_file_whole(folder / "part.stl", test::stl_bytes(design));
  write_file_whole(folder / "scan.ply",
                   test::ply_bytes(test::scan_of(design, settings, Rng(5)).scan));
}

void check_once(const std::filesystem::path& folder, StageTimes& times) {
  Stopwatch whole, watch;
  const Plan plan = plan_for_design(folder / "part.stl");
  std::string stage;
  double processor_before_ms = processor_ms();
  const auto next = [&](const std::string& begun) {
    const double lap_ms = watch.lap_ms(), processor_now_ms = processor_ms();
    if (!stage.empty()) {
      times.add(stage, lap_ms);
      times.add(stage + ": processor", processor_now_ms - processor_before_ms);
    }
    stage = begun;
    processor_before_ms = processor_now_ms;
  };
  const Inspection inspection =
      inspect(plan, folder / "scan.ply", {"bench", "2026-01-01", ""},
              [&](const std::string& told) { next(told.substr(0, told.find(' '))); });
  next("writing");
  write_report(inspection, folder / "sheet");
  next("");
  times.add("whole check", whole.lap_ms());
}

}  // namespace trammel::bench
