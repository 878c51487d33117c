#include <cmath>
#include <cstdint>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kNeighbours = 8;
/// Neighbours whose normals turn less than 26° lie on one smooth patch.
constexpr double kSmooth = 0.9;

/// What the design says of the side of one point: > 0 the normal as it is, < 0 the other way; 0
/// nothing. Near points have the say: a pushed sheet lies nearer to the wrong face only where it is
/// pushed.
double vote(const SurfaceIndex& design, const Vector3d& p, const Vector3d& normal,
            double scale_mm) {
  const SurfacePoint foot = design.nearest(p, 4.0 * scale_mm);
  if (!foot.found()) return 0.0;
  const double agreement = design.face_normal(foot.triangle).dot(normal);
  const double nearness = std::exp(-0.5 * std::pow(foot.distance_mm / scale_mm, 2));
  return nearness * agreement * std::abs(agreement);
}

/// Walks over smooth neighbours, gives each patch one side inside itself, and lists its points.
class PatchWalk {
 public:
  PatchWalk(const Eigen::Matrix3Xd& points_mm, Eigen::Matrix3Xd& normals)
      : points_(points_mm),
        normals_(normals),
        index_(points_mm),
        taken_(static_cast<std::size_t>(points_mm.cols()), 0) {}

  /// The patch that `seed` lies on, its normals made consistent with the seed's; empty when taken.
  std::vector<Index> patch_from(Index seed) {
    std::vector<Index> patch;
    if (taken_[static_cast<std::size_t>(seed)] != 0) return patch;
    take(seed, patch);
    for (std::size_t next = 0; next < patch.size(); ++next) {
      const Index at = patch[next];
      for (const Neighbour& other : index_.nearest(points_.col(at), kNeighbours + 1)) {
        if (taken_[static_cast<std::size_t>(other.index)] != 0) continue;
        const double turn = normals_.col(at).dot(normals_.col(other.index));
        if (std::abs(turn) < kSmooth) continue;
        if (turn < 0.0) normals_.col(other.index) *= -1.0;
        take(other.index, patch);
      }
    }
    return patch;
  }

 private:
  void take(Index point, std::vector<Index>& patch) {
    taken_[static_cast<std::size_t>(point)] = 1;
    patch.push_back(point);
  }

  const Eigen::Matrix3Xd& points_;
  Eigen::Matrix3Xd& normals_;
  PointIndex index_;
  std::vector<std::uint8_t> taken_;
};

/// Turns all normals when clearly more of them look into the material than out of it.
void turn_as_one(const Eigen::Matrix3Xd& points_mm, const SurfaceIndex& design, double scale_mm,
                 Eigen::Matrix3Xd& normals) {
  const double sum =
      ordered_sum(static_cast<std::size_t>(points_mm.cols()), 0.0, [&](std::size_t i) {
        const auto c = static_cast<Index>(i);
        return vote(design, points_mm.col(c), normals.col(c), scale_mm);
      });
  if (sum < 0.0) normals *= -1.0;
}

void turn_by_patches(const Eigen::Matrix3Xd& points_mm, const SurfaceIndex& design, double scale_mm,
                     Eigen::Matrix3Xd& normals) {
  PatchWalk walk(points_mm, normals);
  for (Index seed = 0; seed < points_mm.cols(); ++seed) {
    const std::vector<Index> patch = walk.patch_from(seed);
    if (patch.empty()) continue;
    const double sum = ordered_sum(patch.size(), 0.0, [&](std::size_t i) {
      return vote(design, points_mm.col(patch[i]), normals.col(patch[i]), scale_mm);
    });
    if (sum < 0.0) {
      for (const Index point : patch)
        normals.col(point) *= -1.0;
    }
  }
}

}  // namespace

Eigen::Matrix3Xd facing_normals(const Scan& scan, const SurfaceIndex& design,
                                const Eigen::Isometry3d& T_design_scan) {
  const Eigen::Matrix3Xd points_mm = T_design_scan * scan.points_mm;
  const double scale_mm = 0.005 * bounding_box(design.mesh().vertices_mm).diagonal_mm();
  Eigen::Matrix3Xd normals;
  if (scan.has_normals()) {
    normals = T_design_scan.linear() * scan.normals;
    turn_as_one(points_mm, design, scale_mm, normals);
  } else {
    normals = estimate_normals(points_mm, PointIndex(points_mm));
    turn_by_patches(points_mm, design, scale_mm, normals);
  }
  return normals;
}

}  // namespace trammel
