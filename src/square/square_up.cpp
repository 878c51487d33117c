#include "trammel/square/square_up.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/linear_algebra.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/square/level_plane.hpp"
#include "trammel/square/patches.hpp"
#include "trammel/square/symmetry_plane.hpp"
#include "trammel/square/way_up.hpp"

namespace trammel {
namespace {

constexpr Eigen::Index kPatches = 20'000;

/// The longest way of the scan across `up`: what is left where nothing better is known.
Eigen::Vector3d longest_level_way(const Patches& patches, const Eigen::Vector3d& up) {
  const Eigen::Vector3d middle = patches.points_mm.rowwise().mean();
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (Eigen::Index i = 0; i < patches.size(); ++i) {
    Eigen::Vector3d d = patches.points_mm.col(i) - middle;
    d -= up * up.dot(d);
    spread += d * d.transpose();
  }
  const Eigen::Vector3d way = symmetric_eigen_3(spread).vectors.col(2);
  return (way - up * up.dot(way)).normalized();
}

struct Forward {
  Eigen::Vector3d way = Eigen::Vector3d::UnitX();
  bool known = false;
};

/// Level, unit.
Forward forward_of(Squared& out, const Patches& patches, const SquareSettings& settings,
                   const Eigen::Vector3d& up) {
  const auto level = [&](const Eigen::Vector3d& way) {
    return Eigen::Vector3d(way - up * up.dot(way));
  };
  const Eigen::Vector3d middle = patches.points_mm.rowwise().mean();
  Forward forward;
  if (settings.forward_mm && settings.rear_mm) {
    const Eigen::Vector3d way = level(*settings.forward_mm - *settings.rear_mm);
    if (way.norm() > 1e-6 * patches.diagonal_mm) {
      out.forward_from = "two picked places";
      // Each place is a point of the scan: its noise, over their distance.
      out.forward_error_rad = std::sqrt(2.0) * patches.noise_mm / way.norm();
      return {way.normalized(), true};
    }
    out.notes.emplace_back("the two places of --forward lie one above the other");
  }
  if (out.symmetry.found) {
    forward.way = up.cross(out.symmetry.normal).normalized();
    out.forward_from = "plane of symmetry";
    out.forward_error_rad = out.symmetry.standard_error_rad;
  } else {
    forward.way = longest_level_way(patches, up);
    out.forward_from = "longest way of the scan";
    out.notes.push_back("forward is a guess: " + out.symmetry.doubt +
                        "; give --forward with two places, rear and front");
  }
  if (settings.forward_mm) {
    if (forward.way.dot(*settings.forward_mm - middle) < 0.0) forward.way = -forward.way;
    forward.known = out.symmetry.found;
    return forward;
  }
  out.notes.emplace_back(
      "which end is the front cannot be seen; if X points to the rear, give --forward with a place "
      "in the front");
  return forward;
}

Eigen::Vector3d origin_of(Squared& out, const Patches& patches, const SquareSettings& settings,
                          const Eigen::Matrix3d& R) {
  if (settings.origin_mm) {
    out.origin_from = "picked place";
    return *settings.origin_mm;
  }
  const Box box = bounding_box(R * patches.points_mm);
  Eigen::Vector3d origin = R.transpose() * box.center_mm();
  out.origin_from = "middle of the box";
  if (out.symmetry.found) {
    origin -= out.symmetry.normal * (out.symmetry.normal.dot(origin) - out.symmetry.offset_mm);
    out.origin_from += ", in the plane of symmetry";
  }
  if (out.level.found) {
    origin -= out.level.normal * (out.level.normal.dot(origin) - out.level.offset_mm);
    out.origin_from += ", on the level face";
  }
  return origin;
}

}  // namespace

Squared square_up(const Scan& scan, const SquareSettings& settings, const Rng& rng) {
  Squared out;
  const PointIndex index(scan.points_mm);
  const Patches patches = patches_of(scan.points_mm, index, kPatches);
  out.level = level_plane(patches, settings.up_mm, rng.stream("level"));
  if (patches.size() < 100) {
    out.symmetry.doubt = "the scan has too few flat places";
    out.notes.emplace_back("the scan has too few points for directions; it stays as it was");
    return out;
  }
  Eigen::Vector3d up = out.level.normal;
  bool up_known = out.level.found;
  if (out.level.found) {
    const WayUp way = way_up(out.level, patches, scan, index, settings.above_mm);
    if (way.turned) {
      out.level.normal = up = -up;
      out.level.offset_mm = -out.level.offset_mm;
    }
    up_known = way.known;
    if (!way.known)
      out.notes.push_back(way.doubt + "; give --above with a place that lies above it");
    out.symmetry = symmetry_plane(patches, up, rng.stream("symmetry"));
  } else {
    out.symmetry = symmetry_plane(patches, std::nullopt, rng.stream("symmetry"));
    out.notes.push_back("up is a guess: " + out.level.doubt +
                        "; give --up with a place on the face that shall lie level");
    // Across the plane of symmetry, as near as can be to the guess.
    if (out.symmetry.found) {
      const Eigen::Vector3d in_plane = up - out.symmetry.normal * out.symmetry.normal.dot(up);
      up = in_plane.norm() > 1e-3 ? Eigen::Vector3d(in_plane.normalized())
                                  : out.symmetry.normal.unitOrthogonal();
    }
  }
  const Forward forward = forward_of(out, patches, settings, up);
  Eigen::Matrix3d R;
  R.row(0) = forward.way;
  R.row(1) = up.cross(forward.way);
  R.row(2) = up;
  const Eigen::Vector3d origin = origin_of(out, patches, settings, R);
  out.T_square_scan.linear() = R;
  out.T_square_scan.translation() = -R * origin;
  out.certain = up_known && forward.known;
  out.sample_mm = out.T_square_scan * patches.points_mm;
  out.sample_normals = R * patches.normals;
  return out;
}

}  // namespace trammel
