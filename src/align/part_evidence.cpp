#include "trammel/align/part_evidence.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr Index kAskedOfDesign = 3000;
constexpr double kOneScannedFace = 0.9;      // normals within 26°
constexpr double kReachOfEvidence = 0.02;    // of the diagonal
constexpr double kAboutSpacings = 6.0;       // some ten neighbours on each side of a border
constexpr double kOffMiddleOfBorder = 0.25;  // half a disc has its centroid at 0.42 of its radius
constexpr int kFewestBeyond = 3;

/// The scan about the part, at one pose.
class LaidScan {
 public:
  LaidScan(const FineStage& stage, const Eigen::Isometry3d& T, double tolerance_mm)
      : stage_(stage),
        tolerance_mm_(tolerance_mm),
        laid_(moved(stage.scan, T)),
        index_(laid_.points_mm),
        spacing_mm_(median_spacing_mm(laid_.points_mm, index_)),
        near_(correspond(
            stage.scan, stage.design, T, stage.scan.size(),
            std::max(kReachOfEvidence * stage.coarse.diagonal_mm, 2.0 * tolerance_mm))) {}

  [[nodiscard]] bool explained(std::size_t i) const {
    return near_[i].facing && std::hypot(near_[i].residual_mm, near_[i].beside_mm) <= tolerance_mm_;
  }

  [[nodiscard]] double seen() const {
    const SurfaceSamples& design = stage_.coarse.dense;
    const Index all = design.points_mm.cols(), count = std::min(kAskedOfDesign, all);
    const SurfaceReach reach{6, tolerance_mm_ + 2.5 * spacing_mm_, tolerance_mm_};
    std::vector<std::uint8_t> found(static_cast<std::size_t>(count), 0);
    for_each_index(found.size(), [&](std::size_t i) {
      const Index at = static_cast<Index>(i) * all / count;
      found[i] =
          has_surface_at(laid_, index_, design.points_mm.col(at), design.normals.col(at), reach)
              ? 1
              : 0;
    });
    return static_cast<double>(std::count(found.begin(), found.end(), 1)) /
           static_cast<double>(std::max<Index>(1, count));
  }

  void count_points(PartEvidence& evidence) const {
    double on = 0.0, reached = 0.0, inside = 0.0;
    for (std::size_t i = 0; i < near_.size(); ++i) {
      const auto at = static_cast<Index>(i);
      const SurfacePoint foot = stage_.design.nearest(laid_.points_mm.col(at),
                                                      kReachOfEvidence * stage_.coarse.diagonal_mm);
      reached += foot.found() ? 1.0 : 0.0;
      if (explained(i)) {
        on += 1.0;
      } else if (foot.found() && stage_.design.signed_distance(laid_.points_mm.col(at), foot) <
                                     -2.0 * tolerance_mm_) {
        inside += 1.0;
      }
    }
    evidence.on = on / std::max(1.0, reached);
    evidence.inside = inside / std::max(1.0, on);
  }

  [[nodiscard]] double runs_on() const {
    enum : std::uint8_t { kWithin, kBorder, kRunsOn };
    std::vector<std::uint8_t> kind(near_.size(), kWithin);
    for_each_index(near_.size(), [&](std::size_t i) {
      if (!explained(i)) return;
      const auto at = static_cast<Index>(i);
      const Vector3d p = laid_.points_mm.col(at), n = near_[i].normal;
      const double about_mm = kAboutSpacings * spacing_mm_;
      Vector3d middle = Vector3d::Zero();
      int on = 0, beyond = 0;
      for (const Neighbour& other : index_.within(p, about_mm)) {
        const Vector3d d = laid_.points_mm.col(other.index) - p;
        const double cosine = n.dot(laid_.normals.col(other.index));
        if ((laid_.oriented ? cosine : std::abs(cosine)) < kOneScannedFace) continue;
        if (std::abs(n.dot(d)) > 2.0 * tolerance_mm_) continue;
        if (explained(static_cast<std::size_t>(other.index))) {
          middle += d;
          ++on;
        } else {
          ++beyond;
        }
      }
      if ((middle / std::max(1, on)).norm() < kOffMiddleOfBorder * about_mm) return;
      kind[i] = beyond >= kFewestBeyond ? kRunsOn : kBorder;
    });
    const auto border = static_cast<double>(std::count(kind.begin(), kind.end(), kBorder));
    const auto runs_on = static_cast<double>(std::count(kind.begin(), kind.end(), kRunsOn));
    return runs_on / std::max(1.0, border + runs_on);
  }

 private:
  static ScanSample moved(const ScanSample& sample, const Eigen::Isometry3d& T) {
    ScanSample out;
    out.points_mm = T * sample.points_mm;
    out.normals = T.linear() * sample.normals;
    out.oriented = sample.oriented;
    return out;
  }

  const FineStage& stage_;
  double tolerance_mm_;
  ScanSample laid_;
  PointIndex index_;
  double spacing_mm_;
  std::vector<Correspondence> near_;
};

}  // namespace

PartEvidence part_evidence(const FineStage& stage, const Eigen::Isometry3d& T_design_scan,
                           double tolerance_mm) {
  PartEvidence evidence;
  if (stage.scan.size() == 0) return evidence;
  const LaidScan laid(stage, T_design_scan, tolerance_mm);
  evidence.seen = laid.seen();
  evidence.runs_on = laid.runs_on();
  laid.count_points(evidence);
  return evidence;
}

}  // namespace trammel
