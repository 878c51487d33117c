#include "trammel/align/describe_pose.hpp"

#include <algorithm>

#include "trammel/align/motions.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

constexpr double kLoosestHold = 0.02;  // of the diagonal: beyond it there is no pose to speak of

/// What is free is told as such, and is not held against the rest.
double error_of_held(const Alignment& alignment) {
  return alignment.free_directions.empty() ? alignment.standard_error_mm : alignment.held_error_mm;
}

/// Two slides and one turn, as freedom_of words them.
bool is_free_in_its_plane(const std::vector<std::string>& free_directions) {
  const auto slides =
      std::count_if(free_directions.begin(), free_directions.end(),
                    [](const std::string& words) { return words.rfind("sliding", 0) == 0; });
  return free_directions.size() == 3 && slides == 2;
}

}  // namespace

std::string share_words(double share) {
  return fixed(100.0 * share, 0) + " %";
}

Rival rival_at(const FineStage& stage, const Eigen::Isometry3d& T_design_scan) {
  Rival given;
  given.fit.T_design_scan = T_design_scan;
  given.fit.converged = true;
  const double diagonal_mm = stage.coarse.diagonal_mm;
  const auto points =
      correspond(stage.scan, stage.design, T_design_scan, stage.scan.size(), 0.01 * diagonal_mm);
  given.fit.sigma_mm = inlier_sigma_mm(points, 0.003 * diagonal_mm, stage.least_sigma_mm);
  given.evidence =
      stage.evidence_of(T_design_scan, stage.scan.size(), stage.tolerance_mm(given.fit.sigma_mm));
  return given;
}

Freedom freedom_at(const FineStage& stage, const SurfaceFit& fit) {
  const double reach_mm = std::max(10.0 * fit.sigma_mm, 0.005 * stage.coarse.diagonal_mm);
  auto points =
      correspond(stage.scan, stage.design, fit.T_design_scan, stage.scan.size(), reach_mm);
  balance_directions(points);
  return freedom_of(points, fit.sigma_mm, stage.coarse.box, stage.coarse.round);
}

void note_pose(Alignment& alignment, const Rival& pose) {
  alignment.T_design_scan = pose.fit.T_design_scan;
  alignment.rms_mm = pose.evidence.rms_mm;
  alignment.overlap = std::min(1.0, pose.evidence.overlap);
  alignment.iterations = pose.fit.iterations;
  alignment.converged = pose.fit.converged;
}

void note_freedom(Alignment& alignment, const Freedom& freedom) {
  alignment.information = freedom.information;
  alignment.covariance = freedom.covariance;
  alignment.center_mm = freedom.center_mm;
  alignment.standard_error_mm = freedom.standard_error_mm;
  alignment.held_error_mm = freedom.held_error_mm;
  alignment.free_directions = freedom.free_directions;
  alignment.scale = freedom.scale;
}

void note_equals(Alignment& alignment, const FineStage& stage, const Rival& winner,
                 const std::vector<Rival>& equals) {
  alignment.ambiguous = !equals.empty();
  const Eigen::Isometry3d T_scan_design = winner.fit.T_design_scan.inverse();
  for (const Rival& rival : equals)
    alignment.others.push_back(
        {rival.fit.T_design_scan, rival.evidence.rms_mm, std::min(1.0, rival.evidence.overlap),
         motion_in_words(rival.fit.T_design_scan * T_scan_design, stage.coarse.box)});
}

void decide_found(Alignment& alignment, const AlignSettings& settings, double diagonal_mm) {
  alignment.found = true;
  if (alignment.overlap < settings.least_overlap) {
    alignment.found = false;
    alignment.doubts.push_back("the best pose explains only " + share_words(alignment.overlap) +
                               " of the scan, and " + share_words(settings.least_overlap) +
                               " is the least that is believed");
  }
  // Poses farther apart than this count as different ones (FineStage::apart_mm): where two standard
  // errors reach as far, which of them it is is not known.
  const double apart_mm = std::max(1.0, 0.01 * diagonal_mm);
  const double held_mm = error_of_held(alignment);
  if (2.0 * held_mm > apart_mm) {
    alignment.found = alignment.found && held_mm <= kLoosestHold * diagonal_mm;
    alignment.doubts.push_back("what was seen holds the part only to ±" + fixed(held_mm, 1) +
                               " mm (1 σ) at its corners");
  }
  alignment.loose = alignment.found && alignment.standard_error_mm > kLoosestHold * diagonal_mm;
  if (is_free_in_its_plane(alignment.free_directions)) {
    alignment.doubts.emplace_back(
        "what was seen is flat: the part is free in its plane, to slide and to turn");
  }
  if (!alignment.converged)
    alignment.doubts.push_back("the fit had not come to rest after " +
                               std::to_string(alignment.iterations) + " iterations");
  // Where all poses are known each can be judged: it is no doubt until they disagree.
  if (alignment.ambiguous && !alignment.others_complete)
    alignment.doubts.push_back("the scan fits as well when it is " +
                               alignment.others.front().words);
}

}  // namespace trammel
