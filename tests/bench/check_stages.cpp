#include "bench/check_stages.hpp"

#include "bench/bench_table.hpp"
#include "trammel/inspect.hpp"
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
  std::string stage;
  const auto next = [&](const std::string& begun) {
    const double lap_ms = watch.lap_ms();
    if (!stage.empty()) times.add(stage, lap_ms);
    stage = begun;
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
