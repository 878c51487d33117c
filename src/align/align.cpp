#include "trammel/align/align.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/align/coarse_search.hpp"
#include "trammel/align/freedom.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/rivals.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

constexpr std::size_t kSamplePoints = 20'000;
constexpr Eigen::Index kFewestPoints = 60;
constexpr double kLittleExplained = 0.7;
/// A pose that explains this much needs no second look at whether the part is misshapen.
constexpr double kNearlyAll = 0.9;
/// Kernel for misshapen parts, a share of the diagonal: its tolerance is four times that.
constexpr double kWideSigmaShare = 0.002;
/// When so little of what lies near the design lies on it, the part is off everywhere.
constexpr double kMisshapen = 0.62;
constexpr double kLoosestHold = 0.02;  // of the diagonal: beyond it there is no pose to speak of

std::string percent(double share) {
  return fixed(100.0 * share, 0) + " %";
}

void describe_fit(Alignment& alignment, const FineStage& stage, const Rival& winner) {
  alignment.T_design_scan = winner.fit.T_design_scan;
  alignment.rms_mm = winner.evidence.rms_mm;
  alignment.overlap = std::min(1.0, winner.evidence.overlap);
  alignment.iterations = winner.fit.iterations;
  alignment.converged = winner.fit.converged;

  const double reach_mm = std::max(10.0 * winner.fit.sigma_mm, 0.005 * stage.coarse.diagonal_mm);
  auto points =
      correspond(stage.scan, stage.design, winner.fit.T_design_scan, stage.scan.size(), reach_mm);
  balance_directions(points);
  const Freedom freedom = freedom_of(points, winner.fit.sigma_mm, stage.coarse.box);
  alignment.information = freedom.information;
  alignment.standard_error_mm = freedom.standard_error_mm;
  alignment.free_directions = freedom.free_directions;
  alignment.scale = freedom.scale;
}

void list_equals(Alignment& alignment, const FineStage& stage, const Contest& contest) {
  alignment.ambiguous = !contest.equals.empty();
  const Eigen::Isometry3d T_scan_design = contest.winner.fit.T_design_scan.inverse();
  for (const Rival& rival : contest.equals)
    alignment.others.push_back(
        {rival.fit.T_design_scan, rival.evidence.rms_mm, std::min(1.0, rival.evidence.overlap),
         motion_in_words(rival.fit.T_design_scan * T_scan_design, stage.coarse.box)});
}

void decide_found(Alignment& alignment, const AlignSettings& settings, double diagonal_mm) {
  alignment.found = true;
  if (alignment.overlap < settings.least_overlap) {
    alignment.found = false;
    alignment.doubts.push_back("the best pose explains only " + percent(alignment.overlap) +
                               " of the scan, and " + percent(settings.least_overlap) +
                               " is the least that is believed");
  }
  if (alignment.standard_error_mm > kLoosestHold * diagonal_mm) {
    alignment.found = false;
    alignment.doubts.push_back("what was seen holds the part only to ±" +
                               fixed(alignment.standard_error_mm, 1) + " mm (1 σ) at its corners");
  }
  if (!alignment.converged)
    alignment.doubts.push_back("the fit had not come to rest after " +
                               std::to_string(alignment.iterations) + " iterations");
  if (alignment.ambiguous)
    alignment.doubts.push_back("the scan fits as well when it is " +
                               alignment.others.front().words);
}

/// The narrow contest, unless the part turns out to be off everywhere (shrunk, bowed): then only
/// the wide one means anything. When the two disagree on a part that is not, neither pose is known.
Contest hold_contests(const FineStage& narrow, const std::vector<RoughPose>& rough) {
  Contest strict = hold_contest(narrow, rough);
  const double overlap = strict.winner.evidence.overlap;
  if (overlap > kNearlyAll) return strict;
  const FineStage wide(narrow.scan, narrow.design, narrow.coarse, kWideSigmaShare);
  Contest loose = hold_contest(wide, rough);
  if (overlap < kMisshapen * loose.winner.evidence.overlap) return loose;
  if (is_elsewhere(wide, loose.winner, strict.winner)) {
    strict.equals.insert(strict.equals.begin(), loose.winner);
  }
  return strict;
}

Alignment best_fit(const ScanSample& scan, const SurfaceIndex& design,
                   const AlignSettings& settings, const Rng& rng) {
  Alignment alignment;
  const CoarseDesign coarse(design.mesh(), rng.stream("design"));
  const FineStage stage(scan, design, coarse);
  Contest contest = hold_contests(stage, coarse_search(scan, coarse));
  if (contest.winner.evidence.overlap < kLittleExplained) {
    // Clutter, or the search missed it: look harder, and keep what explains more.
    Contest second = hold_contests(stage, coarse_search(scan, coarse, {240, 400, 200, 20}));
    if (second.winner.evidence.overlap > contest.winner.evidence.overlap)
      contest = std::move(second);
  }
  describe_fit(alignment, stage, contest.winner);
  list_equals(alignment, stage, contest);
  decide_found(alignment, settings, coarse.diagonal_mm);
  return alignment;
}

Alignment as_scanned(const ScanSample& scan, const SurfaceIndex& design,
                     const AlignSettings& settings, const Rng& rng) {
  Alignment alignment;
  const CoarseDesign coarse(design.mesh(), rng.stream("design"));
  const FineStage stage(scan, design, coarse);
  Rival given;
  given.fit.converged = true;
  const auto points =
      correspond(scan, design, given.fit.T_design_scan, scan.size(), 0.01 * coarse.diagonal_mm);
  given.fit.sigma_mm = inlier_sigma_mm(points, 0.003 * coarse.diagonal_mm, stage.least_sigma_mm);
  given.evidence = stage.evidence_of(given.fit.T_design_scan, scan.size(),
                                     stage.tolerance_mm(given.fit.sigma_mm));
  describe_fit(alignment, stage, given);
  decide_found(alignment, settings, coarse.diagonal_mm);
  return alignment;
}

}  // namespace

Alignment align(const Scan& scan, const SurfaceIndex& design, const AlignSettings& settings,
                const Rng& rng) {
  Alignment alignment;
  const ScanSample sample = sample_scan(scan, kSamplePoints, rng.stream("sample"));
  if (sample.size() < kFewestPoints || design.mesh().triangles.cols() == 0) {
    alignment.doubts.push_back("the scan has too few points to find a pose by");
  } else if (settings.method == AlignMethod::AsScanned) {
    alignment = as_scanned(sample, design, settings, rng);
  } else {
    alignment = best_fit(sample, design, settings, rng);
  }
  alignment.method = method_name(settings.method);
  return alignment;
}

}  // namespace trammel
