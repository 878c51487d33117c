#include "trammel/align/part_in_scene.hpp"

#include <algorithm>

#include "trammel/align/describe_pose.hpp"
#include "trammel/align/scene_search.hpp"

namespace trammel {
namespace {

constexpr std::size_t kPiecePoints = 8000;
constexpr Eigen::Index kPieceFitPoints = 2500;
constexpr Eigen::Index kFewestOfPiece = 60;
constexpr double kAboutPiece = 0.08;        // of the diagonal, to each side
constexpr double kFirstPieceSigma = 0.004;  // of the diagonal: about what a rough pose is off

constexpr double kLeastSeen = 0.25;
constexpr double kLeastOn = 0.9;
/// What makes up for a bench that touches the part, or a clamp.
constexpr double kLeastOnBench = 0.8, kMuchSeen = 0.5, kNothingAgainst = 0.002;
constexpr double kMostRunsOn = 0.02;
constexpr double kMostInside = 0.01;
constexpr double kAsGood = 0.8;
constexpr double kElsewhere = 0.25;  // of the diagonal

FineStage stage_of(const ScanSample& sample, const SurfaceIndex& design,
                   const CoarseDesign& coarse) {
  return {sample, design, coarse};
}

Eigen::Vector3d middle_in_scan(const Eigen::Isometry3d& T_design_scan, const CoarseDesign& coarse) {
  return T_design_scan.inverse() * coarse.box.center_mm();
}

}  // namespace

double worth_of(const PartEvidence& evidence) {
  return evidence.seen * std::max(0.0, 1.0 - 3.0 * (1.0 - evidence.on)) *
         std::max(0.0, 1.0 - 5.0 * evidence.runs_on);
}

Scan piece_about(const Scan& scan, const Eigen::Isometry3d& T_design_scan,
                 const CoarseDesign& coarse) {
  return cut_out(scan, T_design_scan, coarse.box, kAboutPiece * coarse.diagonal_mm);
}

PlaceInScene place_at(const Scan& piece, const SurfaceIndex& design, const CoarseDesign& coarse,
                      const Eigen::Isometry3d& T_design_scan, const Rng& rng) {
  PlaceInScene place;
  place.T_design_scan = T_design_scan;
  const ScanSample sample = sample_scan(piece, kPiecePoints, rng);
  if (sample.size() < kFewestOfPiece) return place;
  const FineStage stage = stage_of(sample, design, coarse);
  place.evidence = part_evidence(stage, T_design_scan, stage.tolerance_mm(stage.least_sigma_mm));
  return place;
}

std::vector<PlaceInScene> places_in_scene(const Scan& scan, const SurfaceIndex& design,
                                          const CoarseDesign& coarse, const Rng& rng) {
  std::vector<PlaceInScene> places;
  for (const RoughPose& rough : search_scene(scan, coarse)) {
    const Scan piece = piece_about(scan, rough.T_design_scan, coarse);
    if (piece.size() < kFewestOfPiece) continue;
    const ScanSample sample = sample_scan(piece, kPiecePoints, rng);
    if (sample.size() < kFewestOfPiece) continue;
    const FineStage stage = stage_of(sample, design, coarse);
    PlaceInScene place;
    place.T_design_scan =
        stage.refine(rough.T_design_scan, kPieceFitPoints, kFirstPieceSigma * coarse.diagonal_mm)
            .T_design_scan;
    place.evidence =
        part_evidence(stage, place.T_design_scan, stage.tolerance_mm(stage.least_sigma_mm));
    places.push_back(place);
  }
  std::stable_sort(places.begin(), places.end(), [](const PlaceInScene& a, const PlaceInScene& b) {
    return worth_of(a.evidence) > worth_of(b.evidence);
  });
  return places;
}

std::vector<std::string> doubts_of_place(const PartEvidence& evidence) {
  std::vector<std::string> doubts;
  if (evidence.seen < kLeastSeen) {
    doubts.push_back("only " + share_words(evidence.seen) +
                     " of the design's surface was found in the scan");
  }
  const bool nothing_against = evidence.seen >= kMuchSeen && evidence.runs_on <= kNothingAgainst &&
                               evidence.inside <= kNothingAgainst;
  if (evidence.on < (nothing_against ? kLeastOnBench : kLeastOn)) {
    doubts.push_back("only " + share_words(evidence.on) +
                     " of what was scanned near the design lies on it");
  }
  if (evidence.runs_on > kMostRunsOn) {
    doubts.push_back("the scanned faces run on where the design ends, along " +
                     share_words(evidence.runs_on) + " of its border");
  }
  if (evidence.inside > kMostInside) {
    doubts.emplace_back("surface was scanned inside the design's material");
  }
  return doubts;
}

const PlaceInScene* as_good_elsewhere(const std::vector<PlaceInScene>& places,
                                      const PlaceInScene& held, const CoarseDesign& coarse) {
  const Eigen::Vector3d here = middle_in_scan(held.T_design_scan, coarse);
  for (const PlaceInScene& place : places) {
    if (worth_of(place.evidence) < kAsGood * worth_of(held.evidence)) break;
    if ((middle_in_scan(place.T_design_scan, coarse) - here).norm() >
        kElsewhere * coarse.diagonal_mm)
      return &place;
  }
  return nullptr;
}

}  // namespace trammel
