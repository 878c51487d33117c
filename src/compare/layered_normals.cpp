#include "trammel/compare/layered_normals.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr int kAround = 12;
constexpr std::size_t kEnoughOnPlane = 7;
/// Through more material than this no face is taken for the other.
constexpr double kThickest_mm = 12.0;
/// A patch of fewer points tells nothing; more than so many tell nothing more.
constexpr std::size_t kFewestInPatch = 20;
constexpr std::size_t kMostAsked = 200;

std::vector<Vector3d> offsets_around(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                                     Index point) {
  std::vector<Vector3d> out;
  for (const Neighbour& other : index.nearest(points_mm.col(point), kAround))
    out.emplace_back(points_mm.col(other.index) - points_mm.col(point));
  return out;
}

std::vector<Vector3d> on_plane(const std::vector<Vector3d>& offsets, const Vector3d& normal,
                               double tolerance_mm) {
  std::vector<Vector3d> out;
  std::copy_if(
      offsets.begin(), offsets.end(), std::back_inserter(out),
      [&](const Vector3d& offset) { return std::abs(normal.dot(offset)) <= tolerance_mm; });
  return out;
}

/// The offsets on the plane through the point that holds most of them.
std::vector<Vector3d> fullest_plane(const std::vector<Vector3d>& offsets, double radius_mm) {
  std::vector<Vector3d> best;
  for (std::size_t i = 0; i < offsets.size(); ++i) {
    for (std::size_t j = i + 1; j < offsets.size(); ++j) {
      const Vector3d across = offsets[i].cross(offsets[j]);
      if (across.norm() < 0.1 * radius_mm * radius_mm) continue;  // all but in one line
      std::vector<Vector3d> held = on_plane(offsets, across.normalized(), kOnPlane * radius_mm);
      if (held.size() > best.size()) best = std::move(held);
    }
  }
  return best;
}

/// Some scanned point one wall's thickness off, on a face as flat as ours.
bool layer_at(const Vector3d& p, const Vector3d& normal, double along_mm,
              const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
              const PointIndex& index, double spacing_mm) {
  const double high_mm = 0.3 * std::abs(along_mm), beside_mm = 3.0 * spacing_mm;
  for (const Neighbour& other :
       index.nearest(p + along_mm * normal, 4, std::hypot(high_mm, beside_mm))) {
    const Vector3d offset = points_mm.col(other.index) - p;
    const double height = offset.dot(normal);
    if (std::abs(height - along_mm) < high_mm && (offset - height * normal).norm() < beside_mm &&
        std::abs(normals.col(other.index).dot(normal)) > 0.8) {
      return true;
    }
  }
  return false;
}

/// Of the design's wall that the point lies above or below; 0 where there is no other face.
double wall_thickness_mm(const SurfaceIndex& design, const Vector3d& p) {
  const SurfacePoint foot = design.nearest(p, kThickest_mm);
  if (!foot.found() || foot.feature != Feature::Face) return 0.0;
  const Vector3d inward = -design.face_normal(foot.triangle);
  const SurfacePoint back = design.nearest_facing(foot.foot_mm, inward, 0.9, kThickest_mm);
  if (!back.found()) return 0.0;
  const double through_mm = inward.dot(back.foot_mm - foot.foot_mm);
  return through_mm > 0.9 * back.distance_mm ? through_mm : 0.0;
}

}  // namespace

void refit_uneven(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                  EstimatedNormals& estimated) {
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    if (estimated.is_flat(c)) return;
    const std::vector<Vector3d> offsets = offsets_around(points_mm, index, c);
    const std::vector<Vector3d> held = fullest_plane(offsets, offsets.back().norm());
    if (held.size() < kEnoughOnPlane) return;
    Vector3d mean = Vector3d::Zero();
    for (const Vector3d& offset : held)
      mean += offset / static_cast<double>(held.size());
    Matrix3d spread = Matrix3d::Zero();
    for (const Vector3d& offset : held)
      spread += (offset - mean) * (offset - mean).transpose();
    const SymmetricEigen3 eigen = symmetric_eigen_3(spread);
    if (eigen.values[1] <= 0.0) return;
    estimated.normals.col(c) = eigen.vectors.col(0);
    estimated.unevenness[c] = eigen.values[0] / eigen.values[1];
  });
}

int side_by_layers(const std::vector<Index>& patch, const Eigen::Matrix3Xd& points_mm,
                   const Eigen::Matrix3Xd& normals, const PointIndex& index,
                   const SurfaceIndex& design, double spacing_mm) {
  if (patch.size() < kFewestInPatch) return 0;
  const std::size_t stride = (patch.size() + kMostAsked - 1) / kMostAsked;
  int asked = 0, behind = 0, before = 0;
  for (std::size_t k = 0; k < patch.size(); k += stride, ++asked) {
    const Vector3d p = points_mm.col(patch[k]), normal = normals.col(patch[k]);
    const double wall_mm = wall_thickness_mm(design, p);
    if (wall_mm == 0.0) continue;
    const bool is_behind = layer_at(p, normal, -wall_mm, points_mm, normals, index, spacing_mm);
    const bool is_before = layer_at(p, normal, wall_mm, points_mm, normals, index, spacing_mm);
    if (is_behind && !is_before) ++behind;
    if (is_before && !is_behind) ++before;
  }
  const int told = behind + before;
  // A tenth of the patch, and three of four alike.
  if (10 * told < asked || told < 5 || 2 * std::abs(behind - before) < told) return 0;
  return behind > before ? 1 : -1;
}

}  // namespace trammel
