#include "trammel/align/align.hpp"

#include <optional>
#include <utility>

#include "trammel/align/best_fit.hpp"
#include "trammel/align/describe_pose.hpp"
#include "trammel/align/hold_by_datums.hpp"
#include "trammel/align/hold_by_pairs.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/part_in_scene.hpp"
#include "trammel/align/round_design.hpp"

namespace trammel {
namespace {

constexpr std::size_t kSamplePoints = 20'000;
constexpr Eigen::Index kFewestPoints = 60;

Alignment as_scanned(const FineStage& stage, const AlignSettings& settings) {
  Alignment alignment;
  const Rival given = rival_at(stage, Eigen::Isometry3d::Identity());
  note_pose(alignment, given);
  // Nothing was fitted that could slide: where the part lies was said, however little of it is seen
  // or lies where it should.
  alignment.scale = freedom_at(stage, given.fit).scale;
  alignment.held_by = "as scanned";
  decide_found(alignment, settings, stage.coarse.diagonal_mm);
  return alignment;
}

Alignment align_by(const Scan& scan, const FineStage& stage, const AlignSettings& settings,
                   const Rng& rng) {
  switch (settings.method) {
    case AlignMethod::AsScanned: return as_scanned(stage, settings);
    case AlignMethod::Pairs: return hold_by_pairs(stage, settings);
    case AlignMethod::Datums: return hold_by_datums(scan, stage, settings, rng.stream("datums"));
    case AlignMethod::BestFit: break;
  }
  return best_fit(stage, settings);
}

/// Where the plan does not say where the part lies, all of the scan is gone through.
std::vector<PlaceInScene> places_to_try(const Scan& scan, const SurfaceIndex& design,
                                        const CoarseDesign& coarse, const AlignSettings& settings,
                                        const Eigen::Isometry3d& T_given, const Rng& rng) {
  if (!is_place_given(settings.method)) return places_in_scene(scan, design, coarse, rng);
  return {place_at(piece_about(scan, T_given, coarse), design, coarse, T_given, rng)};
}

/// The best place is as good as another, where the part may lie as well.
void doubt_other_place(Alignment& alignment, const std::vector<PlaceInScene>& places,
                       const PlaceInScene& held, const CoarseDesign& coarse) {
  const PlaceInScene* other = as_good_elsewhere(places, held, coarse);
  if (other == nullptr) return;
  const std::string words =
      motion_in_words(other->T_design_scan * alignment.T_design_scan.inverse(), coarse.box);
  alignment.ambiguous = true;
  alignment.others_complete = false;
  alignment.others.push_back({other->T_design_scan, alignment.rms_mm, alignment.overlap, words});
  alignment.doubts.push_back(
      "the scan holds the part, or what looks like it, in another place as "
      "well: " +
      words);
}

/// The ordinary way on the piece of the scan that the part seems to lie in; nothing where that is
/// not the part.
std::optional<Alignment> align_in_scene(const Scan& scan, const SurfaceIndex& design,
                                        const CoarseDesign& coarse, const AlignSettings& settings,
                                        const Eigen::Isometry3d& T_given, const Rng& rng) {
  const auto places = places_to_try(scan, design, coarse, settings, T_given, rng.stream("places"));
  if (places.empty() || !doubts_of_place(places.front().evidence).empty()) return {};
  const Scan piece = piece_about(scan, places.front().T_design_scan, coarse);
  const ScanSample sample = sample_scan(piece, kSamplePoints, rng.stream("piece"));
  if (sample.size() < kFewestPoints) return {};
  const FineStage stage(sample, design, coarse);
  Alignment alignment = align_by(piece, stage, settings, rng);
  const PlaceInScene held =
      place_at(piece, design, coarse, alignment.T_design_scan, rng.stream("held"));
  if (!alignment.found || !doubts_of_place(held.evidence).empty()) return {};
  doubt_other_place(alignment, places, held, coarse);
  const double share = static_cast<double>(piece.size()) / static_cast<double>(scan.size());
  alignment.overlap *= share;
  for (OtherPose& other : alignment.others)
    other.overlap *= share;
  return alignment;
}

}  // namespace

Alignment align(const Scan& scan, const SurfaceIndex& design, const AlignSettings& settings,
                const Rng& rng) {
  Alignment alignment;
  const ScanSample sample = sample_scan(scan, kSamplePoints, rng.stream("sample"));
  if (sample.size() < kFewestPoints || design.mesh().triangles.cols() == 0) {
    alignment.doubts.push_back("the scan has too few points to find a pose by");
  } else {
    CoarseDesign coarse(design.mesh(), rng.stream("design"));
    coarse.round = axis_of_round(design);
    const FineStage stage(sample, design, coarse);
    if (settings.small_part != SmallPart::Only || is_place_given(settings.method))
      alignment = align_by(scan, stage, settings, rng);
    if (settings.small_part != SmallPart::Never && alignment.overlap < settings.least_overlap) {
      auto small = align_in_scene(scan, design, coarse, settings, alignment.T_design_scan,
                                  rng.stream("scene"));
      if (small) alignment = std::move(*small);
    }
    alignment.round = coarse.round;
  }
  alignment.method = method_name(settings.method);
  return alignment;
}

}  // namespace trammel
