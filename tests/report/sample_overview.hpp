#pragma once

/// An overview made by hand: five scans that pass, fail, are undecided, were not read, wait.

#include "trammel/report/overview.hpp"

namespace trammel::test {

inline NearestReading reading(double deviation_mm, double limit_mm) {
  NearestReading out;
  out.deviation_mm = deviation_mm;
  out.limit_mm = limit_mm;
  out.found = true;
  return out;
}

inline OverviewEntry checked_entry(const std::string& scan, Outcome outcome, double proud_mm,
                                   double shy_mm) {
  OverviewEntry entry;
  entry.scan = scan;
  entry.folder = scan + "-sheet";
  entry.state = ScanState::Checked;
  entry.outcome = outcome;
  entry.code = outcome == Outcome::Pass   ? ExitCode::Pass
               : outcome == Outcome::Fail ? ExitCode::Fail
                                          : ExitCode::Undecided;
  entry.worst = "Worst of " + scan;
  entry.proud = reading(proud_mm, 0.5);
  entry.shy = reading(shy_mm, 0.5);
  entry.seen_fraction = 0.93;
  entry.uncertainty_mm = 0.08;
  return entry;
}

inline Overview sample_overview() {
  Overview overview;
  overview.run = {"0.1.0", "2026-11-25", "trammel check plan.toml --scan a.ply b.ply"};
  overview.part = "Toolbox bracket, left";
  overview.plan = "bracket.toml";
  overview.entries = {checked_entry("a.ply", Outcome::Pass, 0.2, -0.1),
                      checked_entry("b.ply", Outcome::Fail, 1.25, -0.3),
                      checked_entry("c.ply", Outcome::Undecided, 0.45, -0.2)};
  overview.entries[1].hole = WorstHole{"floor 2", 2.4, 0.5};
  overview.entries[1].bolts_up = Outcome::Fail;
  OverviewEntry unread;
  unread.scan = "d.ply";
  unread.folder = "d.ply-sheet";
  unread.state = ScanState::Stopped;
  unread.code = ExitCode::BadInput;
  unread.error = "d.ply: expected points, found none. Save the scan again.";
  overview.entries.push_back(unread);
  OverviewEntry waiting;
  waiting.scan = "e.ply";
  waiting.folder = "e.ply-sheet";
  overview.entries.push_back(waiting);
  return overview;
}

/// Names that nobody should be able to use against a reader.
inline std::vector<std::string> odd_names() {
  return {"<script>alert(1)</script>.ply", "a\"b'c & d%41#x?y:z.ply", "\U0001F600 \u00e9.ply",
          std::string(300, 'W') + ".ply",  "=1+1,\"x\".ply",          "line\nbreak\x01\xff.ply"};
}

}  // namespace trammel::test
