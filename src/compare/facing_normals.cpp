#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/compare/layered_normals.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kFitted = 12;  // neighbours that a plane is laid through
constexpr int kNeighbours = 8;
/// A point whose neighbours' normals all turn less than 26° from its own lies on a smooth face; at
/// an edge, estimated normals mix two faces and must not carry a side from one to the other.
constexpr double kSmooth = 0.9;
/// A face of the design within this share of the scale is the one that a point lies on; it stands
/// across a patch from 60° on.
constexpr double kOwnWall = 0.3;
constexpr double kAcross = 0.5;
/// A smaller patch takes its side from the larger one that it continues: on a face pushed beyond
/// its wall's middle the design misleads it.
constexpr std::size_t kOwnSide = 50;
/// From a large patch over so many neighbours small ones are reached.
constexpr int kRounds = 4;
/// Of a vote by every point: less tells nothing, and the design is asked for faces so many times
/// farther off.
constexpr double kLeastVote = 0.1;
constexpr double kFarther = 10.0;
/// A step from point to point lies within 17° of the surface; else it leads through a thin wall.
constexpr double kAlongSurface = 0.3;

/// What the design says of the side of one point: > 0 the normal as it is, < 0 the other way; 0
/// nothing. Near points have the say: a pushed sheet lies nearer to the wrong face only where it is
/// pushed.
///
/// Beside an edge, as the bench lies beside the part's foot, a point says nothing of the face: such
/// votes are counted apart.
double vote(const SurfaceIndex& design, const Vector3d& p, const Vector3d& normal, double scale_mm,
            bool beside = false) {
  const SurfacePoint foot = design.nearest(p, 4.0 * scale_mm);
  if (!foot.found()) return 0.0;
  const double agreement = design.face_normal(foot.triangle).dot(normal);
  const double nearness = std::exp(-0.5 * std::pow(foot.distance_mm / scale_mm, 2));
  const double height = std::abs(design.face_normal(foot.triangle).dot(p - foot.foot_mm));
  const double straight = foot.feature == Feature::Face ? 1.0 : height / foot.distance_mm;
  return nearness * (beside ? 1.0 - straight : straight) * agreement * std::abs(agreement);
}

/// The design's face nearest to a point, where it is near; zero elsewhere.
Vector3d face_under(const SurfaceIndex& design, const Vector3d& p, double within_mm) {
  const SurfacePoint foot = design.nearest(p, within_mm);
  return foot.found() ? design.face_normal(foot.triangle) : Vector3d(Vector3d::Zero());
}

/// A point on a face of the design that stands across a plane: the wall of a small hole, uneven for
/// its own sake, and not the sheet that the hole is in.
bool lies_across(const SurfaceIndex& design, const Vector3d& p, const Vector3d& plane_normal,
                 double scale_mm) {
  const Vector3d face = face_under(design, p, kOwnWall * scale_mm);
  return !face.isZero() && std::abs(face.dot(plane_normal)) < kAcross;
}

/// `refit_uneven`, but for what lies across the plane that it found.
void refit_walls(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                 const SurfaceIndex& design, double scale_mm, EstimatedNormals& estimated) {
  const EstimatedNormals before = estimated;
  refit_uneven(points_mm, index, estimated);
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    if (before.is_flat(c) || !estimated.is_flat(c)) return;
    if (!lies_across(design, points_mm.col(c), estimated.normals.col(c), scale_mm)) return;
    estimated.normals.col(c) = before.normals.col(c);
    estimated.unevenness[c] = before.unevenness[c];
  });
}

/// The nearest neighbours of every point, and whether they lie on one smooth face with it.
struct Neighbourhood {
  const Eigen::MatrixXi& near;  ///< K × #P, nearest first, itself among them; −1 where none is left
  std::vector<std::uint8_t> smooth;

  /// To the farthest of them.
  [[nodiscard]] double radius_mm(const Eigen::Matrix3Xd& points_mm, Index point) const {
    const auto found = (near.col(point).array() >= 0).count();
    return found == 0 ? 0.0 : (points_mm.col(near(found - 1, point)) - points_mm.col(point)).norm();
  }
};

Neighbourhood neighbourhood_of(const EstimatedNormals& estimated) {
  const Eigen::MatrixXi& near = estimated.nearest;
  Neighbourhood out{near, std::vector<std::uint8_t>(static_cast<std::size_t>(near.cols()))};
  for_each_index(out.smooth.size(), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    const auto turns_away = [&](int other) {
      return other >= 0 &&
             std::abs(estimated.normals.col(c).dot(estimated.normals.col(other))) < kSmooth;
    };
    const auto around = near.col(c);
    const bool turns = std::any_of(around.begin(), around.end(), turns_away);
    out.smooth[i] = estimated.is_flat(c) && !turns ? 1 : 0;
  });
  return out;
}

/// Walks over smooth points and gives each patch one side inside itself.
class PatchWalk {
 public:
  PatchWalk(const Eigen::Matrix3Xd& points_mm, const Neighbourhood& hood, Eigen::Matrix3Xd& normals)
      : points_(points_mm), hood_(hood), normals_(normals), taken_(hood.smooth.size(), 0) {}

  /// The patch that `seed` lies on, its normals made consistent with the seed's; empty when taken.
  /// A point at an edge is a patch of its own.
  std::vector<Index> patch_from(Index seed) {
    std::vector<Index> patch;
    if (taken_[static_cast<std::size_t>(seed)] != 0) return patch;
    take(seed, patch);
    if (!is_smooth(seed)) return patch;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      const Index at = patch[next];
      for (const int other : hood_.near.col(at)) {
        if (other < 0 || taken_[static_cast<std::size_t>(other)] != 0 || !is_smooth(other))
          continue;
        if (!along_surface(at, other)) continue;
        if (normals_.col(at).dot(normals_.col(other)) < 0.0) normals_.col(other) *= -1.0;
        take(other, patch);
      }
    }
    return patch;
  }

 private:
  [[nodiscard]] bool is_smooth(Index point) const {
    return hood_.smooth[static_cast<std::size_t>(point)] != 0;
  }
  [[nodiscard]] bool along_surface(Index a, Index b) const {
    const Vector3d step = points_.col(b) - points_.col(a);
    const double steepest = kAlongSurface * step.norm();
    return std::abs(step.dot(normals_.col(a))) <= steepest &&
           std::abs(step.dot(normals_.col(b))) <= steepest;
  }
  void take(Index point, std::vector<Index>& patch) {
    taken_[static_cast<std::size_t>(point)] = 1;
    patch.push_back(point);
  }

  const Eigen::Matrix3Xd& points_;
  const Neighbourhood& hood_;
  Eigen::Matrix3Xd& normals_;
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

/// Two votes of the design: by what lies near it, or, where next to nothing does (a blob that
/// stands on the part), by what lies farther off.
double side_by_design(const std::vector<Index>& patch, const Eigen::Matrix3Xd& points_mm,
                      const Eigen::Matrix3Xd& normals, const SurfaceIndex& design,
                      double scale_mm) {
  const auto sum_at = [&](double scale, bool beside) {
    return ordered_sum(patch.size(), 0.0, [&](std::size_t i) {
      return vote(design, points_mm.col(patch[i]), normals.col(patch[i]), scale, beside);
    });
  };
  const double least = kLeastVote * static_cast<double>(patch.size());
  const double near = sum_at(scale_mm, false);
  if (std::abs(near) > least) return near;
  const double far = sum_at(kFarther * scale_mm, false);
  if (std::abs(far) > least) return far;
  // Of no face at all: turned so that no face takes it for its own continuation.
  return -sum_at(kFarther * scale_mm, true);
}

/// @return  #P, 1 where a point is on a patch whose side is known better than from itself alone
std::vector<std::uint8_t> turn_by_patches(const Eigen::Matrix3Xd& points_mm,
                                          const PointIndex& index, const Neighbourhood& hood,
                                          const SurfaceIndex& design, double scale_mm,
                                          Eigen::Matrix3Xd& normals) {
  const double spacing_mm = median_spacing_mm(points_mm, index);
  std::vector<std::uint8_t> sided(hood.smooth.size(), 0);
  PatchWalk walk(points_mm, hood, normals);
  for (Index seed = 0; seed < points_mm.cols(); ++seed) {
    const std::vector<Index> patch = walk.patch_from(seed);
    if (patch.empty()) continue;
    double side = side_by_layers(patch, points_mm, normals, index, design, spacing_mm);
    if (side == 0.0) side = side_by_design(patch, points_mm, normals, design, scale_mm);
    for (const Index point : patch) {
      if (side < 0.0) normals.col(point) *= -1.0;
      sided[static_cast<std::size_t>(point)] = patch.size() >= kOwnSide ? 1 : 0;
    }
  }
  return sided;
}

/// The step leads off the one smooth face that two points with planes of their own may lie on.
bool leads_off(const Vector3d& step, const Vector3d& from, const Vector3d& to, double radius_mm) {
  return std::abs(height_on_mean_normal(step, from, to)) > kOnPlane * radius_mm;
}

/// The neighbour on a sided patch whose plane comes nearest to the point, or −1 when none is near.
/// One with a plane of its own may not lie off the patch's: over a gap in the scan the nearest
/// patch is that of a thin sheet's other face, a thickness off.
int neighbour_in_plane(const Eigen::Matrix3Xd& points_mm, const EstimatedNormals& estimated,
                       const Neighbourhood& hood, const std::vector<std::uint8_t>& sided,
                       const Eigen::Matrix3Xd& normals, Index point) {
  const double radius_mm = hood.radius_mm(points_mm, point);
  int best = -1;
  double least = std::numeric_limits<double>::infinity();
  for (const int other : hood.near.col(point)) {
    if (other < 0 || sided[static_cast<std::size_t>(other)] == 0) continue;
    const Vector3d step = points_mm.col(point) - points_mm.col(other);
    const double height = std::abs(step.dot(normals.col(other)));
    if (height > kAlongSurface * step.norm() || height >= least) continue;
    if (estimated.is_flat(point) &&
        leads_off(step, normals.col(point), normals.col(other), radius_mm))
      continue;
    least = height;
    best = other;
  }
  return best;
}

/// The side of a patch goes on to the points about it that continue it. One with a plane of its own
/// keeps that, turned the patch's way; one without takes the patch's, unless it lies on a face of
/// the design that stands across the patch: the wall of a small hole is uneven for its own sake.
void continue_patches(const Eigen::Matrix3Xd& points_mm, const EstimatedNormals& estimated,
                      const Neighbourhood& hood, const SurfaceIndex& design, double scale_mm,
                      std::vector<std::uint8_t>& sided, Eigen::Matrix3Xd& normals) {
  for (int round = 0; round < kRounds; ++round) {
    const Eigen::Matrix3Xd before = normals;
    const std::vector<std::uint8_t> sided_before = sided;
    for_each_index(sided.size(), [&](std::size_t i) {
      const auto c = static_cast<Index>(i);
      if (sided_before[i] != 0) return;
      const int patch = neighbour_in_plane(points_mm, estimated, hood, sided_before, before, c);
      if (patch < 0) return;
      const double turn = before.col(c).dot(before.col(patch));
      if (!estimated.is_flat(c)) {
        if (lies_across(design, points_mm.col(c), before.col(patch), scale_mm)) return;
        normals.col(c) = before.col(patch);
      } else if (std::abs(turn) < kSmooth) {
        return;  // another face
      } else if (turn < 0.0) {
        normals.col(c) = -before.col(c);
      }
      sided[i] = 1;
    });
  }
}

/// Where no plane could be laid through the neighbours and no patch goes on, the design's face
/// under the point stands in.
void borrow_where_uneven(const Eigen::Matrix3Xd& points_mm, const EstimatedNormals& estimated,
                         const std::vector<std::uint8_t>& sided, const SurfaceIndex& design,
                         double scale_mm, Eigen::Matrix3Xd& normals) {
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto c = static_cast<Index>(i);
    if (sided[i] != 0 || estimated.is_flat(c)) return;
    const Vector3d face = face_under(design, points_mm.col(c), scale_mm);
    if (!face.isZero()) normals.col(c) = face;
  });
}

/// Estimated from the points themselves, and turned out of the material.
Eigen::Matrix3Xd estimated_facing(const Eigen::Matrix3Xd& points_mm, const SurfaceIndex& design,
                                  double scale_mm) {
  const PointIndex index(points_mm);
  EstimatedNormals estimated = estimate_normals(points_mm, index, kFitted, kNeighbours + 1);
  refit_walls(points_mm, index, design, scale_mm, estimated);
  const Neighbourhood hood = neighbourhood_of(estimated);
  Eigen::Matrix3Xd normals = estimated.normals;
  std::vector<std::uint8_t> sided =
      turn_by_patches(points_mm, index, hood, design, scale_mm, normals);
  continue_patches(points_mm, estimated, hood, design, scale_mm, sided, normals);
  borrow_where_uneven(points_mm, estimated, sided, design, scale_mm, normals);
  return normals;
}

}  // namespace

Eigen::Matrix3Xd facing_normals(const Scan& scan, const SurfaceIndex& design,
                                const Eigen::Isometry3d& T_design_scan) {
  const Eigen::Matrix3Xd points_mm = moved_points(T_design_scan, scan.points_mm);
  const double scale_mm = 0.005 * bounding_box(design.mesh().vertices_mm).diagonal_mm();
  if (scan.has_normals()) {
    Eigen::Matrix3Xd normals = T_design_scan.linear() * scan.normals;
    turn_as_one(points_mm, design, scale_mm, normals);
    return normals;
  }
  return estimated_facing(points_mm, design, scale_mm);
}

}  // namespace trammel
