/// Planted changes on seeded pairs of scans of one panel: what is found, and what is claimed
/// besides.
///
///   accuracy_changes [pairs] [first seed] [points]
///
/// One line a size. *found*: one change, its peak within 0.1 mm, in its place; *else*: changes that
/// were claimed and not planted; *unsure*: the pair came out undecided. Else must stay 0.

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <vector>

#include "support/panel.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/compare_scans.hpp"

namespace {

using namespace trammel;

constexpr double kSizes_mm[] = {0.0, 0.3, -0.5, 1.0, -2.0, 5.0};

test::VirtualScan scanned(const test::PanelOptions& panel, std::size_t points, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.views = test::panel_views();
  settings.points = points;
  settings.noise_mm = 0.05;
  return test::scan_of(test::wing_panel(panel), settings, Rng(seed));
}

struct Row {
  int pairs = 0, found = 0, elsewhere = 0, unsure = 0;
  std::vector<double> errors_mm;
};

void add_pair(Row& row, double size_mm, std::size_t points, std::uint64_t seed) {
  Rng place = Rng(seed).stream("place");
  test::PanelOptions pushed;
  const Eigen::Vector2d at(place.uniform(70.0, 150.0), place.uniform(50.0, 120.0));
  if (size_mm != 0.0) pushed.pushes = {{at, 32.0, size_mm}};
  const auto before = scanned({}, points, 1000 + seed);
  const auto after = scanned(pushed, points, 2000 + seed);
  const Changes changes =
      compare_scans({before.scan, "old", "", {}}, {after.scan, "new", "", {}}, {}, Unit::Mm, {});
  ++row.pairs;
  row.unsure += changes.outcome == ChangesOutcome::Undecided ? 1 : 0;
  bool found = size_mm == 0.0 && changes.outcome == ChangesOutcome::Unchanged;
  for (const Change& change : changes.changes) {
    const Eigen::Vector3d p = before.T_design_scan * change.center_mm;
    const bool here = size_mm != 0.0 && (p.head<2>() - at).norm() < 25.0;
    if (!here) {
      ++row.elsewhere;
      continue;
    }
    row.errors_mm.push_back(std::abs(change.peak_mm - size_mm));
    found = row.errors_mm.back() <= 0.1 && changes.outcome == ChangesOutcome::Changed;
  }
  row.found += found ? 1 : 0;
}

}  // namespace

int main(int argc, char** argv) {
  const int pairs = argc > 1 ? std::atoi(argv[1]) : 50;
  const int first = argc > 2 ? std::atoi(argv[2]) : 0;
  const auto points = static_cast<std::size_t>(argc > 3 ? std::atoi(argv[3]) : 25'000);
  constexpr int kRows = 6;
  std::vector<Row> rows(kRows);
  for (int k = 0; k < pairs; ++k)
    add_pair(rows[static_cast<std::size_t>(k % kRows)], kSizes_mm[k % kRows], points,
             static_cast<std::uint64_t>(first + k));
  std::printf("%8s %6s %6s %6s %6s %10s %10s\n", "size mm", "pairs", "found", "else", "unsure",
              "median mm", "worst mm");
  int elsewhere = 0;
  for (int r = 0; r < kRows; ++r) {
    const Row& row = rows[static_cast<std::size_t>(r)];
    elsewhere += row.elsewhere;
    std::printf("%8.1f %6d %6d %6d %6d %10.4f %10.4f\n", kSizes_mm[r], row.pairs, row.found,
                row.elsewhere, row.unsure, quantile(row.errors_mm, 0.5),
                quantile(row.errors_mm, 1.0));
  }
  return elsewhere == 0 ? 0 : 1;
}
