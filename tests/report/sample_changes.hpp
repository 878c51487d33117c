#pragma once

#include <string>

#include "support/core_grid.hpp"
#include "trammel/model/changes.hpp"

namespace trammel::test {

/// A plate of 20 × 20 mm with core points 1 mm apart: a proud patch of 3 × 3, a strip that only the
/// old scan shows, a few unsure points, and a strip of the new scan alone.
inline Changes sample_changes() {
  Changes c;
  c.run = {"0.1.0", "2026-11-25", "trammel changes old.ply new.ply"};
  c.old_file = {"old <1>.ply",
                std::string(64, 'a'),
                410,
                {1.0, "mm", "given", true},
                {410, 5, 5, 0, 0, 400, 1.0}};
  c.new_file = {"new.ply",
                std::string(64, 'b'),
                400,
                {1.0, "mm", "given", true},
                {400, 0, 0, 0, 0, 400, 1.0}};
  c.fit.alignment.found = c.fit.alignment.converged = true;
  c.fit.alignment.method = "best-fit";
  c.fit.alignment.overlap = 0.9;
  c.fit.alignment.standard_error_mm = 0.01;
  c.fit.alignment.T_design_scan.translation() = Eigen::Vector3d(1, 2, 3);
  c.fit.sides_known = true;
  c.scales = {4.0, 3.0, 10.0, 1.0, 0.03};
  c.least_area_mm2 = 4.0;
  c.typical_detectable_mm = 0.05;
  c.cores = core_grid(0.05, 0.02);
  CorePoints& cores = c.cores;
  for (int i = 0; i < 400; ++i) {
    const int x = i % 20, y = i / 20;
    const auto at = static_cast<std::size_t>(i);
    if (y >= 18) {
      cores.state[at] = CoreState::OnlyOld;
      cores.change_mm[i] = cores.detectable_mm[i] = std::nan("");
    } else if (x >= 5 && x < 8 && y >= 5 && y < 8) {
      cores.state[at] = CoreState::Changed;
      cores.change_mm[i] = 0.8;
      cores.change[at] = 1;
    } else if (x == 15) {
      cores.state[at] = CoreState::Unsure;
    }
  }
  c.new_only.points_mm.resize(3, 20);
  for (int i = 0; i < 20; ++i)
    c.new_only.points_mm.col(i) << i, -1, 0;
  c.new_only.normals = Eigen::Vector3d::UnitZ().replicate(1, 20);
  c.new_only.area_mm2.setOnes(20);
  Change change;
  change.id = 1;
  change.peak_mm = 0.81;
  change.mean_mm = 0.8;
  change.area_mm2 = 9.0;
  change.volume_mm3 = 7.2;
  change.detectable_mm = 0.05;
  change.center_mm = {6, 6, 0};
  c.changes = {change};
  c.coverage = {400, 380, 360, 40, 20, 333, 9, 18};
  c.outcome = ChangesOutcome::Changed;
  c.reasons = {"1 patch changed by more than 0.2 mm"};
  c.notes = {"a note about <tags> & more"};
  return c;
}

inline Changes sample_unchanged() {
  Changes c = sample_changes();
  c.changes.clear();
  c.cores.change.assign(400, 0);
  c.outcome = ChangesOutcome::Unchanged;
  c.reasons = {"no patch changed"};
  return c;
}

inline Changes sample_undecided() {
  Changes c = sample_changes();
  c.outcome = ChangesOutcome::Undecided;
  c.fit.alignment.ambiguous = true;
  c.reasons = {"the new scan fits as well when it is turned"};
  return c;
}

}  // namespace trammel::test
