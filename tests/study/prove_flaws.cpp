/// The study of judging as a table: `prove_flaws [parts of each kind] [minutes] [first] [kind]`.
///
/// Rounds take one part of every kind, from number `first` on, until their number or the minutes
/// are used up (0: no limit). What came out false, needless or wrongly named is told on stderr;
/// with a kind, every part of it is. Exit code 1 when a bad part passed.

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <map>

#include "study/flaw_study.hpp"

namespace {

using namespace trammel::test;

void print_line(const std::string& name, const FlawTally& t) {
  std::printf("%-18s %5d %5d %5d %6d %5d %5d %5d %6d %5d %5d %5d %6d %5d %5d %5d %5d %5d\n",
              name.c_str(), t.parts, t.good, t.bad, t.either, t.passed, t.failed, t.false_pass,
              t.hidden, t.false_fail, t.undecided, t.pose, t.unseen, t.near_limit, t.needless,
              t.right, t.wrong, t.nothing);
  std::fflush(stdout);
}

std::vector<std::string> rows_of(const ScanConditions& conditions) {
  std::vector<std::string> rows{
      conditions.noise_mm < 0.05 ? "noise below 0.05" : "noise above 0.05",
      conditions.normals ? "normals" : "no normals"};
  const bool all_round = !conditions.from_above && !conditions.bench;
  if (all_round) rows.emplace_back("seen all round");
  if (conditions.from_above) rows.emplace_back("from above");
  if (conditions.bench) rows.emplace_back("bench");
  if (conditions.stray_share > 0.0) rows.emplace_back("strays");
  if (conditions.coating_mm > 0.0) rows.emplace_back("sprayed");
  return rows;
}

}  // namespace

int main(int argc, char** argv) {
  const int rounds = argc > 1 ? std::atoi(argv[1]) : 2;
  const double minutes = argc > 2 ? std::atof(argv[2]) : 0.0;
  const int first = argc > 3 ? std::atoi(argv[3]) : 0, last = first + rounds;
  const std::string only = argc > 4 ? argv[4] : "";
  const auto start = std::chrono::steady_clock::now();
  std::map<PlantedKind, FlawTally> by_kind;
  std::map<std::string, FlawTally> by_condition;
  FlawTally all;
  for (int number = first; number < last; ++number) {
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    if (minutes > 0.0 && took.count() > 60.0 * minutes) break;
    for (const PlantedKind kind : all_planted_kinds()) {
      if (!only.empty() && planted_name(kind) != only) continue;
      const FlawResult result = try_flaw(kind, number);
      all.add(result);
      by_kind[kind].add(result);
      for (const std::string& row : rows_of(conditions_of(kind, number)))
        by_condition[row].add(result);
      const bool tell = !only.empty() || result.false_pass || result.hidden || result.false_fail ||
                        result.doubt == Doubt::Needless || result.naming == Naming::Wrong ||
                        result.naming == Naming::Nothing;
      if (tell) std::fprintf(stderr, "%d: %s", number, result.log.c_str());
    }
  }
  std::printf("%-18s %5s %5s %5s %6s %5s %5s %5s %6s %5s %5s %5s %6s %5s %5s %5s %5s %5s\n", "",
              "parts", "good", "bad", "either", "pass", "fail", "FPASS", "hidden", "FFAIL", "undec",
              "pose", "unseen", "near", "clear", "named", "wrong", "not");
  for (const auto& [kind, tally] : by_kind)
    print_line(planted_name(kind), tally);
  for (const auto& [row, tally] : by_condition)
    print_line(row, tally);
  print_line("all", all);
  return all.false_pass == 0 ? 0 : 1;
}
