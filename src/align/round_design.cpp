#include "trammel/align/round_design.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "trammel/align/motions.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr double kMostOff = 0.002;  // of the diagonal, as FineStage::tolerance_mm
constexpr double kFacing = 0.7;     // cosine: facets of a coarse circle, and no wall of a hole
constexpr double kGoldenTurn = 2.399963229728653;  // radians: its multiples divide no circle evenly
constexpr int kTurns = 7;
constexpr double kNothing = 1e-9;  // share of the diagonal squared: a triangle without a facing
constexpr double kOneAxis = 0.05;  // a ball's moments are alike to this

/// A place of the design, to be turned: a vertex by itself (a zero facing), or the middle of a
/// triangle.
struct Mark {
  Eigen::Vector3d point_mm, facing;
};

/// Sums over the surface: its centroid, and second moments of places and of normals.
struct SurfaceMoments {
  Eigen::Vector3d centroid_mm = Eigen::Vector3d::Zero();
  Eigen::Matrix3d places = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d normals = Eigen::Matrix3d::Zero();
};

Eigen::Matrix3d corners_of(const Mesh& mesh, Index triangle) {
  Eigen::Matrix3d corners;
  for (int k = 0; k < 3; ++k)
    corners.col(k) = mesh.vertices_mm.col(mesh.triangles(k, triangle));
  return corners;
}

/// Exact over each triangle: ∫ x xᵀ = A / 12 (Σ vᵢ vᵢᵀ + Σ vᵢ Σ vᵢᵀ).
SurfaceMoments moments_of(const Mesh& mesh) {
  SurfaceMoments out;
  double area_mm2 = 0.0;
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    const Eigen::Matrix3d corners = corners_of(mesh, t);
    const Eigen::Vector3d cross = area_vector(mesh, t), sum = corners.rowwise().sum();
    const double area = 0.5 * cross.norm();
    if (area <= 0.0) continue;
    area_mm2 += area;
    out.centroid_mm += area / 3.0 * sum;
    out.places += area / 12.0 * (corners * corners.transpose() + sum * sum.transpose());
    out.normals += area * cross.normalized() * cross.normalized().transpose();
  }
  if (area_mm2 <= 0.0) return out;
  out.centroid_mm /= area_mm2;
  out.places = out.places / area_mm2 - out.centroid_mm * out.centroid_mm.transpose();
  out.normals /= area_mm2;
  return out;
}

Index count_of_marks(const Mesh& mesh) {
  return mesh.vertices_mm.cols() + mesh.triangles.cols();
}

/// Vertices first. Made when it is asked for: most designs are refused by the first few.
Mark mark_of(const Mesh& mesh, Index i, double diagonal_mm) {
  const Index vertices = mesh.vertices_mm.cols();
  if (i < vertices) return {mesh.vertices_mm.col(i), Eigen::Vector3d::Zero()};
  const Eigen::Vector3d cross = area_vector(mesh, i - vertices);
  const bool faces = cross.norm() > kNothing * diagonal_mm * diagonal_mm;
  return {corners_of(mesh, i - vertices).rowwise().mean(),
          faces ? cross.normalized() : Eigen::Vector3d::Zero().eval()};
}

/// How far a mark lies off the design after a turn; infinite beyond the reach.
double off_after(const SurfaceIndex& design, const Mark& mark, const Eigen::Isometry3d& turn,
                 double reach_mm) {
  const Eigen::Vector3d p = turn * mark.point_mm, facing = turn.linear() * mark.facing;
  const SurfacePoint foot = facing.isZero() ? design.nearest(p, reach_mm)
                                            : design.nearest_facing(p, facing, kFacing, reach_mm);
  return foot.found() ? foot.distance_mm : SurfaceIndex::kNoLimit;
}

/// The most that the marks, every `stride`-th of them, lie off the design after any of the turns;
/// infinite beyond the reach.
double most_off(const SurfaceIndex& design, const Eigen::Vector3d& at_mm,
                const Eigen::Vector3d& axis, double diagonal_mm, Index stride) {
  const double reach_mm = kMostOff * diagonal_mm;
  double most = 0.0;
  for (int k = 1; k <= kTurns && most <= reach_mm; ++k) {
    const Eigen::Isometry3d turn = Eigen::Translation3d(at_mm) *
                                   Eigen::AngleAxisd(k * kGoldenTurn, axis) *
                                   Eigen::Translation3d(-at_mm);
    std::vector<double> off(
        static_cast<std::size_t>((count_of_marks(design.mesh()) - 1) / stride + 1));
    for_each_index(off.size(), [&](std::size_t i) {
      const Index at = static_cast<Index>(i) * stride;
      off[i] = off_after(design, mark_of(design.mesh(), at, diagonal_mm), turn, reach_mm);
    });
    most = std::max(most, *std::max_element(off.begin(), off.end()));
  }
  return most;
}

/// Two moments alike, and the third apart from them, would tell the axis; with facets and a length
/// that makes all three alike, all are tried.
std::vector<Eigen::Vector3d> axes_to_try(const SurfaceMoments& moments) {
  std::vector<Eigen::Vector3d> axes;
  for (const Eigen::Matrix3d& tensor : {moments.places, moments.normals}) {
    const SymmetricEigen3 own = symmetric_eigen_3(tensor);
    for (Index k = 0; k < 3; ++k)
      axes.emplace_back(own.vectors.col(k));
  }
  return axes;
}

bool is_ball(const SurfaceMoments& moments) {
  const auto alike = [](const Eigen::Matrix3d& tensor) {
    const SymmetricEigen3 own = symmetric_eigen_3(tensor);
    return own.values[2] - own.values[0] <= kOneAxis * own.values[2];
  };
  return alike(moments.places) && alike(moments.normals);
}

}  // namespace

std::optional<RoundAxis> axis_of_round(const SurfaceIndex& design) {
  constexpr Index kFirstLook = 200;
  const Mesh& mesh = design.mesh();
  const SurfaceMoments moments = moments_of(mesh);
  if (is_ball(moments)) return {};
  const double diagonal_mm = bounding_box(mesh.vertices_mm).diagonal_mm();
  const double reach_mm = kMostOff * diagonal_mm;
  const Index stride = std::max<Index>(1, count_of_marks(mesh) / kFirstLook);
  std::optional<RoundAxis> best;
  for (const Eigen::Vector3d& axis : axes_to_try(moments)) {
    if (most_off(design, moments.centroid_mm, axis, diagonal_mm, stride) > reach_mm) continue;
    const double off_mm = most_off(design, moments.centroid_mm, axis, diagonal_mm, 1);
    if (off_mm <= (best ? best->off_mm : reach_mm)) best = {moments.centroid_mm, axis, off_mm};
  }
  return best;
}

Eigen::Matrix<double, 6, 1> turn_about_axis(const RoundAxis& round,
                                            const Eigen::Vector3d& center_mm, double arm_mm) {
  Eigen::Matrix<double, 6, 1> motion;
  motion << round.axis * arm_mm, round.axis.cross(center_mm - round.at_mm);
  return motion.normalized();
}

double pose_distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b,
                        const Box& design_box, const std::optional<RoundAxis>& round) {
  if (!round) return corner_distance_mm(a, b, design_box);
  const Eigen::Quaterniond between((a * b.inverse()).linear());
  const double angle_rad = 2.0 * std::atan2(between.vec().dot(round->axis), between.w());
  const Eigen::Isometry3d back = Eigen::Translation3d(round->at_mm) *
                                 Eigen::AngleAxisd(-angle_rad, round->axis) *
                                 Eigen::Translation3d(-round->at_mm);
  return corner_distance_mm(back * a, b, design_box);
}

}  // namespace trammel
