#include "trammel/align/pose_evidence.hpp"

#include <cmath>

#include "trammel/base/parallel.hpp"

namespace trammel {

PoseEvidence explained_points(const std::vector<Correspondence>& points,
                              const Eigen::VectorXd& share, double tolerance_mm) {
  PoseEvidence evidence;
  evidence.explained.resize(points.size(), 0);
  double squares = 0.0, count = 0.0, looked_at = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Correspondence& c = points[i];
    const double stands_for = share[static_cast<Eigen::Index>(i)];
    looked_at += stands_for;
    if (!c.facing || std::hypot(c.residual_mm, c.beside_mm) > tolerance_mm) continue;
    evidence.explained[i] = 1;
    evidence.overlap += stands_for;
    squares += c.residual_mm * c.residual_mm;
    count += 1.0;
  }
  if (count <= 0.0) return evidence;
  evidence.rms_mm = std::sqrt(squares / count);
  // The first so many points speak for all that are in the sample.
  evidence.overlap *= share.sum() / looked_at;
  return evidence;
}

double explained_design_share(const SurfaceSamples& design, const ScanSample& scan,
                              const PointIndex& index, const Eigen::Isometry3d& T_design_scan,
                              double near_mm) {
  constexpr int kNeighbours = 4;  // the very nearest may lie on the other face of a thin sheet
  constexpr double kLeastFacing = 0.5;
  const Eigen::Isometry3d T_scan_design = T_design_scan.inverse();
  const auto count = static_cast<std::size_t>(design.points_mm.cols());
  std::vector<std::uint8_t> seen(count, 0);
  for_each_index(
      count,
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        const Eigen::Vector3d normal = T_scan_design.linear() * design.normals.col(at);
        for (const Neighbour& n :
             index.nearest(T_scan_design * design.points_mm.col(at), kNeighbours)) {
          if (n.distance_mm > near_mm) break;
          const double cosine = scan.normals.col(n.index).dot(normal);
          if ((scan.oriented ? cosine : std::abs(cosine)) >= kLeastFacing) seen[i] = 1;
        }
      },
      256);
  double sum = 0.0;
  for (const std::uint8_t s : seen)
    sum += s;
  return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

double Comparison::z() const {
  const int differing = only_first + only_second;
  return differing > 0 ? (only_first - only_second) / std::sqrt(differing) : 0.0;
}

Comparison compare_evidence(const PoseEvidence& first, const PoseEvidence& second) {
  Comparison result;
  for (std::size_t i = 0; i < first.explained.size(); ++i) {
    if (first.explained[i] != 0 && second.explained[i] == 0) ++result.only_first;
    if (first.explained[i] == 0 && second.explained[i] != 0) ++result.only_second;
  }
  return result;
}

}  // namespace trammel
