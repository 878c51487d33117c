/// check_part PLAN.toml SCAN: the whole check through the library, result.json to stdout.

#include <trammel/base/error.hpp>
#include <trammel/inspect.hpp>
#include <trammel/read/read_plan.hpp>
#include <trammel/report/report.hpp>

#include <iostream>

int main(int argc, char** argv) try {
  if (argc != 3) return static_cast<int>(trammel::ExitCode::Usage);
  const trammel::RunInfo run = trammel::run_info_of_this_process({argv, argv + argc});
  const auto inspection = trammel::inspect(trammel::read_plan(argv[1]), argv[2], run);
  std::cout << trammel::result_json(inspection);
  return inspection.verdict.outcome == trammel::Outcome::Pass ? 0 : 1;
} catch (const trammel::Error& error) {
  std::cerr << error.what() << '\n';
  return static_cast<int>(trammel::exit_code_of(error.kind()));
}
