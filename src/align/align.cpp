#include "trammel/align/align.hpp"

#include "trammel/align/best_fit.hpp"
#include "trammel/align/describe_pose.hpp"
#include "trammel/align/hold_by_datums.hpp"
#include "trammel/align/hold_by_pairs.hpp"

namespace trammel {
namespace {

constexpr std::size_t kSamplePoints = 20'000;
constexpr Eigen::Index kFewestPoints = 60;

Alignment as_scanned(const FineStage& stage, const AlignSettings& settings) {
  Alignment alignment;
  const Rival given = rival_at(stage, Eigen::Isometry3d::Identity());
  note_pose(alignment, given);
  note_freedom(alignment, freedom_at(stage, given.fit));
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

}  // namespace

Alignment align(const Scan& scan, const SurfaceIndex& design, const AlignSettings& settings,
                const Rng& rng) {
  Alignment alignment;
  const ScanSample sample = sample_scan(scan, kSamplePoints, rng.stream("sample"));
  if (sample.size() < kFewestPoints || design.mesh().triangles.cols() == 0) {
    alignment.doubts.push_back("the scan has too few points to find a pose by");
  } else {
    const CoarseDesign coarse(design.mesh(), rng.stream("design"));
    const FineStage stage(sample, design, coarse);
    alignment = align_by(scan, stage, settings, rng);
  }
  alignment.method = method_name(settings.method);
  return alignment;
}

}  // namespace trammel
