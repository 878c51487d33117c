#pragma once

/// What a test hands to `inspect`, and how it tells what came of it.

#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "support/long_run.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/inspect.hpp"

namespace trammel::test {

/// A closed design as if it had been read.
inline Design design_of(Mesh mesh, const std::string& file = "part.stl") {
  Design out;
  out.mesh = std::move(mesh);
  out.mesh.name = out.file = file;
  out.health.closed = true;
  return out;
}

inline RawScan raw_scan(Scan scan) {
  RawScan out;
  out.scan = std::move(scan);
  out.scan.name = out.file = "scan.ply";
  return out;
}

/// A virtual scan of what was made, checked against what was drawn.
inline Inspection check_made(const Mesh& design, const Mesh& made, const Plan& plan,
                             std::uint64_t seed, const ScannerSettings& settings) {
  return inspect(design_of(design), raw_scan(scan_of(made, settings, Rng(seed)).scan), plan,
                 {"test", "2026-01-01", "check"});
}

/// The scan is left where the part was drawn, and not searched for.
inline void leave_in_place(Plan& plan, ScannerSettings& settings) {
  plan.method = AlignMethod::AsScanned;
  settings.random_pose = false;
}

/// As check_made, for tests that do not ask where the part lies: in the usual run it is left in
/// place, for the search for its pose takes most of a check's time. A long run searches for it,
/// from a random pose.
inline Inspection check_made_in_place(const Mesh& design, const Mesh& made, Plan plan,
                                      std::uint64_t seed, ScannerSettings settings) {
  if (!is_long_run()) leave_in_place(plan, settings);
  return check_made(design, made, plan, seed, settings);
}

/// Whether a scan brings the scanner's normals: with and without in a long run (TRAMMEL_LONG=1, as
/// `./dev prove passes` sets it), else the one whose turn it is.
inline std::vector<bool> normals_by_turns(int turn) {
  if (is_long_run()) return {true, false};
  return {turn % 2 == 0};
}

/// One a line, for messages.
inline std::string reasons_of(const Inspection& inspection) {
  std::string text;
  for (const std::string& reason : inspection.verdict.reasons)
    text += reason + "\n";
  return text;
}

}  // namespace trammel::test
