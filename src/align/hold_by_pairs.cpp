#include "trammel/align/hold_by_pairs.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/align/best_fit.hpp"
#include "trammel/align/describe_pose.hpp"
#include "trammel/align/fit_pairs.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

constexpr double kPairsSigmaShare = 0.004;  // of the diagonal, as for the search's own poses
constexpr double kLeastVariance = 1e-12;    // exact pairs: no information is infinite
constexpr double kSeenApartShare = 0.002;   // what differs by less tells no pose from another

std::string mm(double value) {
  return fixed(value, 2) + " mm";
}

/// The pairs side by side, and their own pose.
struct Pairs {
  Eigen::Matrix3Xd design_mm, scan_mm;
  PairsFit fit;
  double wrong_mm;  ///< how far (rms) they could be from the true pose

  Pairs(const AlignSettings& settings, double diagonal_mm) {
    const auto count = static_cast<Eigen::Index>(settings.pairs.size());
    design_mm.resize(3, count);
    scan_mm.resize(3, count);
    for (Eigen::Index i = 0; i < count; ++i) {
      design_mm.col(i) = settings.pairs[static_cast<std::size_t>(i)].design_mm;
      scan_mm.col(i) = settings.pairs[static_cast<std::size_t>(i)].scan_mm;
    }
    fit = fit_pairs(design_mm, scan_mm);
    wrong_mm = std::max(std::sqrt(3.0) * fit.coverage_factor * fit.error_mm,
                        kSeenApartShare * diagonal_mm);
  }
  [[nodiscard]] double rms_at(const Eigen::Isometry3d& T_design_scan) const {
    return pairs_rms_mm(design_mm, scan_mm, T_design_scan);
  }
  [[nodiscard]] bool agree_with(const Rival& rival) const {
    return rms_at(rival.fit.T_design_scan) <= wrong_mm;
  }
};

void note_residuals(Alignment& alignment, const Pairs& pairs) {
  const Eigen::Matrix3Xd moved = alignment.T_design_scan * pairs.scan_mm;
  for (Eigen::Index i = 0; i < moved.cols(); ++i)
    alignment.pairs.push_back({pairs.design_mm.col(i), pairs.scan_mm.col(i),
                               pairs.fit.residual_mm[i],
                               (moved.col(i) - pairs.design_mm.col(i)).norm()});
}

/// Pairs that do not fit each other say nothing: a place was picked wrong, or the unit is another.
void doubt_the_pairs(Alignment& alignment, const Pairs& pairs, double most_mm) {
  if (pairs.fit.error_mm <= most_mm) return;
  Eigen::Index worst = 0;
  const double off_mm = pairs.fit.residual_mm.maxCoeff(&worst);
  alignment.found = false;
  alignment.doubts.push_back("the pairs do not fit each other: pair " + std::to_string(worst + 1) +
                             " is " + mm(off_mm) + " off in the best place for all of them");
}

void take_pairs_pose(Alignment& alignment, const FineStage& stage, const AlignSettings& settings,
                     const Pairs& pairs) {
  const Rival held = rival_at(stage, pairs.fit.T_design_scan);
  note_pose(alignment, held);
  const Freedom freedom = freedom_at(stage, held.fit);
  note_freedom(alignment, freedom);
  // Not the surface holds the part but the pairs, and they hold all of it. Two standard errors are
  // to mean what they say, so the few residuals' factor goes in.
  const double error_mm = 0.5 * pairs.fit.coverage_factor * pairs.fit.error_mm;
  alignment.free_directions.clear();
  alignment.center_mm = pairs.fit.center_mm;
  alignment.covariance = error_mm * error_mm * pairs.fit.unit_covariance;
  alignment.information = solve_symmetric(
      alignment.covariance + kLeastVariance * Matrix6d(Matrix6d::Identity()), Matrix6d::Identity());
  alignment.standard_error_mm =
      error_at_corners_mm(alignment.covariance, alignment.center_mm, stage.coarse.box);
  alignment.held_by = std::to_string(settings.pairs.size()) + " pairs of points alone";
}

/// The pose that fits best where nothing that fits best agrees with the pairs.
Rival refined_from(const FineStage& stage, const Pairs& pairs) {
  const double first_sigma_mm =
      std::max(kPairsSigmaShare * stage.coarse.diagonal_mm, pairs.fit.error_mm);
  const SurfaceFit fit =
      stage.refine(pairs.fit.T_design_scan, stage.scan.size(), first_sigma_mm, 1e-6);
  Rival rival = rival_at(stage, fit.T_design_scan);
  rival.fit = fit;
  return rival;
}

void doubt_the_move(Alignment& alignment, const FineStage& stage, const Pairs& pairs,
                    const Rival& held, const Rival& best) {
  const double off_mm = pairs.rms_at(held.fit.T_design_scan);
  if (off_mm > pairs.wrong_mm) {
    alignment.doubts.push_back("fitting to the surface moved the part off its pairs by " +
                               mm(off_mm) + ", and they could be wrong by " + mm(pairs.wrong_mm) +
                               " only");
  }
  if (is_elsewhere(stage, held, best)) {
    alignment.doubts.push_back(
        "the scan fits better where the pairs do not lie: " +
        motion_in_words(best.fit.T_design_scan * held.fit.T_design_scan.inverse(),
                        stage.coarse.box) +
        "; are they mixed up?");
  }
}

void take_refined_pose(Alignment& alignment, const FineStage& stage, const AlignSettings& settings,
                       const Pairs& pairs) {
  Contest contest = find_best_pose(stage, {pairs.fit.T_design_scan});
  std::vector<Rival> agreeing;
  if (pairs.agree_with(contest.winner)) agreeing.push_back(contest.winner);
  std::copy_if(contest.equals.begin(), contest.equals.end(), std::back_inserter(agreeing),
               [&](const Rival& rival) { return pairs.agree_with(rival); });
  const bool none = agreeing.empty();
  const Rival held = none ? refined_from(stage, pairs) : agreeing.front();
  if (!none) agreeing.erase(agreeing.begin());
  note_pose(alignment, held);
  note_freedom(alignment, freedom_at(stage, held.fit));
  note_equals(alignment, stage, held, agreeing);
  alignment.others_complete = !none && contest.equals_complete;
  doubt_torn_fit(alignment, stage, contest);
  if (none) doubt_the_move(alignment, stage, pairs, held, contest.winner);
  alignment.held_by =
      "best fit from " + std::to_string(settings.pairs.size()) + " pairs of points on";
}

}  // namespace

Alignment hold_by_pairs(const FineStage& stage, const AlignSettings& settings) {
  Alignment alignment;
  const double diagonal_mm = stage.coarse.diagonal_mm;
  const Pairs pairs(settings, diagonal_mm);
  if (settings.refine) {
    take_refined_pose(alignment, stage, settings, pairs);
  } else {
    take_pairs_pose(alignment, stage, settings, pairs);
  }
  note_residuals(alignment, pairs);
  decide_found(alignment, settings, diagonal_mm);
  doubt_the_pairs(alignment, pairs, std::max(1.0, 0.01 * diagonal_mm));
  return alignment;
}

}  // namespace trammel
