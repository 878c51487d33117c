/// The study of the alignment as a table: `prove [poses] [minutes] [part] [condition]`.
///
/// Poses run in rounds until their number or the minutes are used up (0: no limit). Every unsure or
/// wrong pose is named on stderr. Figures in mm are of poses held for right; err/SE is the error at
/// the worst corner in units of the predicted standard error there, chi2 the mean of the normalised
/// errors (6 when they are honest).
/// Exit code 1 when a pose was held for right and was not.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <memory>
#include <numeric>
#include <utility>

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
  const double minutes = argc > 2 ? std::atof(argv[2]) : 0.0;
  const std::string only_part = argc > 3 ? argv[3] : "";
  const std::string only_condition = argc > 4 ? argv[4] : "";
  const auto start = std::chrono::steady_clock::now();
  const auto out_of_time = [&] {
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    return minutes > 0.0 && took.count() > 60.0 * minutes;
  };
  std::vector<std::unique_ptr<test::PreparedPart>> parts;
  for (const test::StudyPart& part : test::study_parts())
    if (only_part.empty() || part.name == only_part)
      parts.push_back(std::make_unique<test::PreparedPart>(part));
  std::map<std::pair<std::size_t, test::Condition>, test::PoseTally> tallies;
  // A round takes every part and condition, so that a study cut short is still an even one.
  for (int number = 0; number < poses && !out_of_time(); ++number) {
    for (std::size_t p = 0; p < parts.size(); ++p) {
      for (const test::Condition condition : test::all_conditions()) {
        const std::string name = test::condition_name(condition);
        if ((!only_condition.empty() && name != only_condition) || out_of_time()) continue;
        const test::PoseResult result = try_pose(*parts[p], condition, number);
        tell(parts[p]->part.name, name, number, result);
        tallies[{p, condition}].add(result);
      }
    }
  }
  std::printf("%-15s %-16s %5s %6s %6s %6s %5s %9s %9s %8s %8s %6s\n", "part", "condition", "right",
              "unsure", "(near)", "listed", "wrong", "median mm", "worst mm", "err/SE", "chi2",
              "s");
  int wrong = 0;
  for (const auto& [at, tally] : tallies) {
    print_line(parts[at.first]->part.name, test::condition_name(at.second), tally);
    wrong += tally.wrong;
  }
  return wrong == 0 ? 0 : 1;
}
