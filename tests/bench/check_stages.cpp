#include "bench/check_stages.hpp"

#include "bench/bench_table.hpp"
#include "trammel/inspect.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/read/read_plan.hpp"
#include "trammel/report/report.hpp"

namespace trammel::bench {

void StageTimes::add(const std::string& stage, double time_ms) {
  if (times_ms.count(stage) == 0) order.push_back(stage);
  times_ms[stage].push_back(time_ms);
}

void check_once(const std::filesystem::path& folder, StageTimes& times) {
  Stopwatch whole, watch;
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

}  // namespace trammel::bench
