/// The study of the alignment as a table: `prove [poses] [first] [part] [condition]`.
///
/// Each line names every unsure or wrong pose on stderr, so that it can be looked at alone.
/// Exit code 1 when a pose was held for right and was not.

#include <cstdio>
#include <cstdlib>
#include <numeric>

#include "study/pose_study.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/stats.hpp"

namespace {

using namespace trammel;

void print_line(const std::string& part, const std::string& condition,
                const test::PoseTally& tally) {
  const double count = static_cast<double>(tally.chi_squares.size());
  const double chi_square =
      std::accumulate(tally.chi_squares.begin(), tally.chi_squares.end(), 0.0) / count;
  std::printf("%-15s %-16s %5d %6d %6d %6d %5d %9.4f %9.4f %8.2f %8.2f %6.2f\n", part.c_str(),
              condition.c_str(), tally.right, tally.unsure, tally.near_but_unsure, tally.listed,
              tally.wrong, quantile(tally.errors_mm, 0.5), quantile(tally.errors_mm, 1.0),
              quantile(tally.shares, 0.5), chi_square, quantile(tally.seconds, 0.5));
  std::fflush(stdout);
}

void tell(const std::string& part, const std::string& condition, int number,
          const test::PoseResult& result) {
  if (result.truth == test::Truth::Right) return;
  std::fprintf(stderr, "%s, %s, pose %d: %s, %s mm off, predicted %s: %s\n", part.c_str(),
               condition.c_str(), number, result.truth == test::Truth::Wrong ? "WRONG" : "unsure",
               fixed(result.error_mm, 3).c_str(), fixed(result.predicted_mm, 3).c_str(),
               result.doubt.c_str());
}

}  // namespace

int main(int argc, char** argv) {
  const int poses = argc > 1 ? std::atoi(argv[1]) : 5;
  const int first = argc > 2 ? std::atoi(argv[2]) : 0;
  const std::string only_part = argc > 3 ? argv[3] : "";
  const std::string only_condition = argc > 4 ? argv[4] : "";
  std::printf("%-15s %-16s %5s %6s %6s %6s %5s %9s %9s %8s %8s %6s\n", "part", "condition", "right",
              "unsure", "(near)", "listed", "wrong", "median mm", "worst mm", "err/SE", "chi2",
              "s");
  int wrong = 0;
  for (const test::StudyPart& each : test::study_parts()) {
    if (!only_part.empty() && each.name != only_part) continue;
    const test::PreparedPart part(each);
    for (const test::Condition condition : test::all_conditions()) {
      const std::string name = test::condition_name(condition);
      if (!only_condition.empty() && name != only_condition) continue;
      test::PoseTally tally;
      for (int number = first; number < first + poses; ++number) {
        const test::PoseResult result = try_pose(part, condition, number);
        tell(each.name, name, number, result);
        tally.add(result);
      }
      print_line(each.name, name, tally);
      wrong += tally.wrong;
    }
  }
  return wrong == 0 ? 0 : 1;
}
