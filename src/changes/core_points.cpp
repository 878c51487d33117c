#include "trammel/changes/core_points.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <unordered_map>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {
namespace {

constexpr Eigen::Index kPlaces = 400;  // looked at to choose scales
constexpr double kDepthShare = 0.06;   // of the diagonal, as far as a check looks
constexpr double kLeastDepth_mm = 10.0;
constexpr double kRoughnessFactor = 25.0;
constexpr double kPlacesThatHold = 0.8;
constexpr double kApart = 0.7;  // of d
constexpr int kDirections = 16;
constexpr int kMostPlanePoints = 400;

struct FacingPlane {
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
  double spread_mm = 0.0;  ///< 1 σ across it
  std::size_t points = 0;
};

/// The plane of the points within the radius that face like the cloud does at its middle.
FacingPlane plane_at(const Cloud& cloud, const Eigen::Vector3d& at, double radius_mm) {
  const auto near = cloud.index.within(at, radius_mm);
  FacingPlane plane;
  if (near.empty()) return plane;
  const bool facing = cloud.normals.cols() > 0;
  const Eigen::Vector3d own =
      facing ? Eigen::Vector3d(cloud.normals.col(near.front().index)) : Eigen::Vector3d::Zero();
  const std::size_t step = 1 + near.size() / kMostPlanePoints;
  std::vector<int> used;
  for (std::size_t i = 0; i < near.size(); i += step) {
    const int point = near[i].index;
    if (!facing || cosine_between(own, cloud.normals.col(point), cloud.sides_known) > 0.5)
      used.push_back(point);
  }
  const auto count = static_cast<double>(used.size());
  for (const int point : used)
    plane.mean += cloud.points_mm.col(point) / count;
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const int point : used) {
    const Eigen::Vector3d d = cloud.points_mm.col(point) - plane.mean;
    spread += d * d.transpose() / count;
  }
  const SymmetricEigen3 eigen = symmetric_eigen_3(spread);
  plane.normal = eigen.vectors.col(0);
  if (facing && plane.normal.dot(own) < 0.0) plane.normal = -plane.normal;
  plane.spread_mm = std::sqrt(std::max(0.0, eigen.values[0]));
  plane.points = used.size();
  return plane;
}

/// Twice the distance to the 25th neighbour, the median over places spread through the cloud.
double cylinder_for(const Cloud& cloud) {
  const Eigen::Index places = std::min(kPlaces, cloud.points_mm.cols());
  std::vector<double> widths;
  for (Eigen::Index i = 0; i < places; ++i) {
    const auto near = cloud.index.nearest(cloud.points_mm.col(i * cloud.points_mm.cols() / places),
                                          kCylinderPoints);
    widths.push_back(2.0 * near.back().distance_mm);
  }
  return median_of(widths);
}

/// Spread about planes of diameter `diameter_mm`: one a place.
std::vector<double> roughness_at(const Cloud& cloud, double diameter_mm) {
  const Eigen::Index places = std::min(kPlaces, cloud.points_mm.cols());
  std::vector<double> spreads(static_cast<std::size_t>(places));
  for_each_index(
      spreads.size(),
      [&](std::size_t i) {
        const Eigen::Index at = static_cast<Eigen::Index>(i) * cloud.points_mm.cols() / places;
        spreads[i] = plane_at(cloud, cloud.points_mm.col(at), 0.5 * diameter_mm).spread_mm;
      },
      16);
  return spreads;
}

std::uint64_t cell_key(const Eigen::Vector3i& cell) {
  const auto part = [&](int axis) {
    return static_cast<std::uint64_t>(cell[axis] + (1 << 20)) & 0x1FFFFFU;
  };
  return part(0) << 42U | part(1) << 21U | part(2);
}

/// The two faces of thin sheet, where sides are known.
bool back_to_back(const Cloud& cloud, int a, int b) {
  return cloud.sides_known && cloud.normals.col(a).dot(cloud.normals.col(b)) < -0.5;
}

/// Point numbers, no two of one face nearer than `apart`, in the cloud's order: only look-ups in
/// the table, so that its order never shows.
std::vector<int> far_apart(const Cloud& cloud, double apart) {
  const Eigen::Matrix3Xd& points = cloud.points_mm;
  const Eigen::Vector3d low = bounding_box(points).low_mm;
  std::unordered_map<std::uint64_t, std::vector<int>> table;
  std::vector<int> kept;
  const double least2 = apart * apart;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Eigen::Vector3i cell = ((points.col(i) - low) / apart).array().floor().cast<int>();
    bool is_free = true;
    for (int n = 0; n < 27 && is_free; ++n) {
      const Eigen::Vector3i at = cell + Eigen::Vector3i(n % 3 - 1, n / 3 % 3 - 1, n / 9 - 1);
      const auto found = table.find(cell_key(at));
      if (found == table.end()) continue;
      for (const int other : found->second)
        is_free = is_free && ((points.col(other) - points.col(i)).squaredNorm() >= least2 ||
                              back_to_back(cloud, other, static_cast<int>(i)));
    }
    if (!is_free) continue;
    table[cell_key(cell)].push_back(static_cast<int>(i));
    kept.push_back(static_cast<int>(i));
  }
  return kept;
}

/// Cuts a polygon by the half-plane of points nearer to the origin than to `other`.
std::vector<Eigen::Vector2d> cut_towards(const std::vector<Eigen::Vector2d>& polygon,
                                         const Eigen::Vector2d& other) {
  const double limit = 0.5 * other.squaredNorm();
  std::vector<Eigen::Vector2d> kept;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
    const double in_a = limit - a.dot(other), in_b = limit - b.dot(other);
    if (in_a >= 0.0) kept.push_back(a);
    if ((in_a >= 0.0) != (in_b >= 0.0)) kept.push_back(a + (b - a) * (in_a / (in_a - in_b)));
  }
  return kept;
}

/// The tangent plane of a core point.
struct Tangent {
  Eigen::Vector3d at, normal, u, v;
  Tangent(const CorePoints& cores, Eigen::Index i)
      : at(cores.points_mm.col(i)),
        normal(cores.normals.col(i)),
        u(normal.unitOrthogonal()),
        v(normal.cross(u)) {}
  [[nodiscard]] Eigen::Vector2d flat(const Eigen::Vector3d& p) const {
    return {(p - at).dot(u), (p - at).dot(v)};
  }
};

/// How far the cloud goes on in each direction, core_mm at most: half a point's spacing beyond the
/// farthest point, or nothing where there is none.
Eigen::VectorXd reach_of_cloud(const Cloud& cloud, const Tangent& plane, double core_mm) {
  Eigen::VectorXd reach = Eigen::VectorXd::Zero(kDirections);
  const auto near = cloud.index.within(plane.at, core_mm);
  const double half_spacing =
      0.5 * core_mm * std::sqrt(kPi / (1.0 + static_cast<double>(near.size())));
  for (const Neighbour& n : near) {
    const Eigen::Vector2d p = plane.flat(cloud.points_mm.col(n.index));
    const double turn = std::atan2(p.y(), p.x()) / (2.0 * kPi) * kDirections;
    // A point tells of the two corners beside it.
    for (const double corner : {std::floor(turn), std::floor(turn) + 1.0}) {
      const auto k = (static_cast<Eigen::Index>(corner) + kDirections) % kDirections;
      reach[k] = std::max(reach[k], std::min(core_mm, p.norm() + half_spacing));
    }
  }
  return reach;
}

void measure_areas(CorePoints& cores, const Cloud& cloud, double core_mm) {
  const PointIndex index(cores.points_mm);
  for_each_index(
      static_cast<std::size_t>(cores.size()),
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        const Tangent plane(cores, at);
        std::vector<Eigen::Vector2d> around;
        for (const Neighbour& near : index.within(plane.at, 2.0 * core_mm)) {
          const Eigen::Vector3d p = cores.points_mm.col(near.index);
          const Eigen::Vector2d flat = plane.flat(p);
          // Of the same surface: not behind, not across, nor the sheet's other face.
          const double cosine =
              cosine_between(cores.normals.col(near.index), plane.normal, cloud.sides_known);
          const bool beside =
              cosine > 0.5 && std::abs((p - plane.at).dot(plane.normal)) < flat.norm();
          if (near.index != static_cast<int>(at) && beside) around.push_back(flat);
        }
        Eigen::Matrix2Xd others(2, static_cast<Eigen::Index>(around.size()));
        for (std::size_t k = 0; k < around.size(); ++k)
          others.col(static_cast<Eigen::Index>(k)) = around[k];
        cores.area_mm2[at] = cell_area(others, reach_of_cloud(cloud, plane, core_mm));
      },
      256);
}

}  // namespace

ChangeScales choose_scales(const Cloud& before, const Cloud& after, std::size_t most_cores) {
  TRAMMEL_CHECK(before.points_mm.cols() > 0 && after.points_mm.cols() > 0, "scales need points");
  ChangeScales scales;
  const double diagonal_mm = bounding_box(before.points_mm).diagonal_mm();
  scales.cylinder_mm =
      std::max({cylinder_for(before), cylinder_for(after), 1e-6 * diagonal_mm, 1e-9});
  // So many discs of 0.7 of their distance cover the surface that cylinder_for's density tells.
  const double area_mm2 = static_cast<double>(before.points_mm.cols()) / kCylinderPoints * 0.25 *
                          kPi * std::pow(cylinder_for(before), 2.0);
  scales.core_mm = std::max(kApart * scales.cylinder_mm,
                            std::sqrt(1.2 * area_mm2 / static_cast<double>(most_cores)));
  scales.cylinder_mm = std::max(scales.cylinder_mm, scales.core_mm);
  scales.depth_mm = std::max(kDepthShare * diagonal_mm, kLeastDepth_mm);
  constexpr std::array<double, 5> kTried = {1.0, 1.5, 2.0, 3.0, 4.0};
  for (const double factor : kTried) {
    scales.normal_mm = factor * scales.cylinder_mm;
    std::vector<double> spreads = roughness_at(before, scales.normal_mm);
    const double held = quantile(spreads, kPlacesThatHold);
    scales.roughness_mm = median_of(spreads);
    if (scales.normal_mm >= kRoughnessFactor * held) break;
  }
  return scales;
}

double cell_area(const Eigen::Matrix2Xd& others, const Eigen::VectorXd& reach) {
  std::vector<Eigen::Vector2d> polygon;
  for (Eigen::Index k = 0; k < reach.size(); ++k) {
    const double turn = 2.0 * kPi * static_cast<double>(k) / static_cast<double>(reach.size());
    polygon.emplace_back(reach[k] * std::cos(turn), reach[k] * std::sin(turn));
  }
  for (Eigen::Index i = 0; i < others.cols(); ++i)
    polygon = cut_towards(polygon, others.col(i));
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d &a = polygon[i], &b = polygon[(i + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return 0.5 * twice;
}

CorePoints spread_core_points(const Cloud& cloud, const ChangeScales& scales) {
  const std::vector<int> kept = far_apart(cloud, scales.core_mm);
  const auto count = static_cast<Eigen::Index>(kept.size());
  CorePoints cores;
  cores.points_mm.resize(3, count);
  cores.normals.resize(3, count);
  for_each_index(
      kept.size(),
      [&](std::size_t i) {
        const Eigen::Vector3d at = cloud.points_mm.col(kept[i]);
        const FacingPlane plane = plane_at(cloud, at, 0.5 * scales.normal_mm);
        // Onto a plane of the cylinder's size: a wider one cuts a curved surface's corner.
        const FacingPlane near = plane_at(cloud, at, 0.5 * scales.cylinder_mm);
        const auto slot = static_cast<Eigen::Index>(i);
        cores.normals.col(slot) = plane.normal;
        cores.points_mm.col(slot) = at - plane.normal * plane.normal.dot(at - near.mean);
      },
      64);
  constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();
  cores.area_mm2.setZero(count);
  cores.change_mm.setConstant(count, kNothing);
  cores.detectable_mm.setConstant(count, kNothing);
  cores.random_mm.setConstant(count, kNothing);
  cores.state.assign(kept.size(), CoreState::OnlyOld);
  cores.change.assign(kept.size(), 0);
  measure_areas(cores, cloud, scales.core_mm);
  return cores;
}

}  // namespace trammel
