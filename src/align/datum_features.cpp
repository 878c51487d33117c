#include "trammel/align/datum_features.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kOnSurfaceShare = 0.001;  // of the diagonal: as near counts as on it
constexpr double kLeastFacing = 0.7;       // 45°: a face and what was scanned of it
constexpr std::size_t kPlaces = 2000;
constexpr double kPatches = 48.0;
constexpr int kMostAlong = 64;
constexpr std::size_t kLeastPoints = 8;

Mesh only(const Mesh& design, const Eigen::VectorXi& face_of, int face) {
  std::vector<Index> kept;
  for (Index f = 0; f < face_of.size(); ++f)
    if (face_of[f] == face) kept.push_back(f);
  Mesh mesh;
  mesh.vertices_mm = design.vertices_mm;
  mesh.triangles = design.triangles(Eigen::all, kept);
  return mesh;
}

/// A grid along the sides of a face.
class PatchGrid {
 public:
  explicit PatchGrid(const FlatFace& face) : face_(face) {
    const double edge = std::sqrt(4.0 * face.half_u_mm * face.half_v_mm / kPatches);
    across_ = std::clamp(static_cast<int>(std::lround(2.0 * face.half_v_mm / edge)), 1, 8);
    along_ = std::clamp(static_cast<int>(std::lround(2.0 * face.half_u_mm / edge)), 1,
                        kMostAlong / across_);
  }
  [[nodiscard]] std::size_t size() const { return static_cast<std::size_t>(along_ * across_); }
  [[nodiscard]] std::size_t patch_of(const Vector3d& p) const {
    const Vector3d arm = p - face_.center_mm;
    return static_cast<std::size_t>(slot(arm.dot(face_.u), face_.half_u_mm, along_) * across_ +
                                    slot(arm.dot(face_.v), face_.half_v_mm, across_));
  }

 private:
  static int slot(double x, double half, int count) {
    return std::clamp(static_cast<int>(std::floor(0.5 * (x / half + 1.0) * count)), 0, count - 1);
  }
  const FlatFace& face_;
  int along_ = 1, across_ = 1;
};

struct FacePatch {
  std::vector<double> heights;
  Vector3d sum = Vector3d::Zero();
};

}  // namespace

FoundDatum find_datum(const SurfaceIndex& design, const FlatFaces& flat, const Vector3d& at_mm,
                      const Rng& rng) {
  FoundDatum found;
  const Box box = bounding_box(design.mesh().vertices_mm);
  const SurfacePoint nearest = design.nearest(at_mm);
  const bool on_surface = nearest.distance_mm <= kOnSurfaceShare * box.diagonal_mm();
  const int index = nearest.found() ? flat.face_of[nearest.triangle] : -1;
  if (on_surface && index >= 0) {
    DatumFace face;
    face.face = flat.faces[static_cast<std::size_t>(index)];
    face.index = index;
    face.places = sample_surface(only(design.mesh(), flat.face_of, index), kPlaces, rng).points_mm;
    found.feature = std::move(face);
    return found;
  }
  if (const auto hole = find_hole(design.mesh(), at_mm)) {
    found.feature = *hole;
  } else {
    found.reason = "the design has no flat face and no round hole there";
  }
  return found;
}

PlacedScan place_scan(const ScanSample& scan, const SurfaceIndex& design, const FlatFaces& flat,
                      const Eigen::Isometry3d& T_design_scan, double reach_mm) {
  PlacedScan out;
  out.points_mm = T_design_scan * scan.points_mm;
  out.normals = T_design_scan.linear() * scan.normals;
  out.foot_mm = out.points_mm;
  out.face.setConstant(scan.size(), -1);
  for_each_index(
      static_cast<std::size_t>(scan.size()),
      [&](std::size_t i) {
        const auto at = static_cast<Index>(i);
        const Vector3d p = out.points_mm.col(at), normal = out.normals.col(at);
        const SurfacePoint foot = scan.oriented
                                      ? design.nearest_facing(p, normal, kLeastFacing, reach_mm)
                                      : design.nearest(p, reach_mm);
        if (!foot.found()) return;
        const double facing = design.face_normal(foot.triangle).dot(normal);
        if (!scan.oriented && facing < 0.0) out.normals.col(at) = -normal;
        out.foot_mm.col(at) = foot.foot_mm;
        if (std::abs(facing) >= kLeastFacing && foot.feature == Feature::Face) {
          out.face[at] = flat.face_of[foot.triangle];
        }
      },
      256);
  return out;
}

FacePatches face_patches(const PlacedScan& scan, const DatumFace& face, double coating_mm) {
  const PatchGrid grid(face.face);
  std::vector<FacePatch> patches(grid.size());
  for (Index i = 0; i < scan.face.size(); ++i) {
    if (scan.face[i] != face.index) continue;
    FacePatch& patch = patches[grid.patch_of(scan.foot_mm.col(i))];
    patch.heights.push_back(face.face.normal.dot(scan.points_mm.col(i) - face.face.center_mm) -
                            coating_mm);
    patch.sum += scan.foot_mm.col(i);
  }
  std::vector<std::size_t> seen;
  for (std::size_t k = 0; k < patches.size(); ++k)
    if (patches[k].heights.size() >= kLeastPoints) seen.push_back(k);
  FacePatches out;
  const auto count = static_cast<Index>(seen.size());
  out.at_mm.resize(3, count);
  out.height_mm.resize(count);
  out.error_mm.resize(count);
  for (Index k = 0; k < count; ++k) {
    FacePatch& patch = patches[seen[static_cast<std::size_t>(k)]];
    const auto points = static_cast<double>(patch.heights.size());
    out.at_mm.col(k) = patch.sum / points;
    out.error_mm[k] = 1.253 * robust_sigma(patch.heights) / std::sqrt(points);
    out.height_mm[k] = median_of(patch.heights);
  }
  double places_seen = 0.0;
  for (Index s = 0; s < face.places.cols(); ++s)
    if (patches[grid.patch_of(face.places.col(s))].heights.size() >= kLeastPoints)
      places_seen += 1.0;
  out.seen = places_seen / std::max<double>(1.0, static_cast<double>(face.places.cols()));
  return out;
}

}  // namespace trammel
