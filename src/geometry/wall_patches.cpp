#include "wall_patches.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel::hole_walls {
namespace {

using Eigen::Vector3d;

constexpr double rad_from_deg(double degrees) {
  return degrees * kDegree;
}

double distance_to_segment(const Vector3d& point, const Vector3d& from, const Vector3d& to) {
  const Vector3d along = to - from;
  const double share = std::clamp(along.dot(point - from) / along.squaredNorm(), 0.0, 1.0);
  return (point - from - share * along).norm();
}

/// Whether the far corner of b stands in front of a. The two corners on the shared edge lie in a's
/// plane, so the sum of the three heights is that of the far one.
bool leans_inward(const NearTriangles& near, int a, int b) {
  const Vector3d corners = near.corner(b, 0) + near.corner(b, 1) + near.corner(b, 2);
  return near.normals.col(a).dot(corners - 3.0 * near.corner(a, 0)) > 0.0;
}

std::vector<Crease> creases_by_triangle(const NearTriangles& near) {
  const auto add = [&](std::size_t i, std::vector<Crease>& to) {
    const int a = static_cast<int>(i);
    for (int k = 0; k < 3; ++k) {
      const int b = near.across(k, a);
      if (b <= a || !leans_inward(near, a, b)) continue;
      const double turn = turn_between(near, a, b);
      if (turn < kLeastCrease_rad || turn > kTurnLimits_rad[2]) continue;
      const Vector3d from = near.corner(a, k), end = near.corner(a, (k + 1) % 3);
      to.push_back({a, b, distance_to_segment(near.center_mm, from, end), turn,
                    near.normals.col(a).cross(near.normals.col(b)).normalized()});
    }
  };
  return gathered<Crease>(static_cast<std::size_t>(near.size()), add);
}

}  // namespace

double turn_between(const NearTriangles& near, int a, int b) {
  const Vector3d na = near.normals.col(a), nb = near.normals.col(b);
  return angle_between(na, nb);
}

const double kTurnLimits_rad[3] = {rad_from_deg(15), rad_from_deg(32), rad_from_deg(46)};

std::vector<Crease> inward_creases(const NearTriangles& near, CreaseOrder order) {
  const std::vector<Crease> creases = creases_by_triangle(near);
  struct Rank {
    double first, second;
    std::size_t index;
  };
  std::vector<Rank> ranks(creases.size());
  for (std::size_t i = 0; i < creases.size(); ++i) {
    const double first =
        order == CreaseOrder::NearestFirst ? creases[i].distance_mm : -creases[i].turn_rad;
    ranks[i] = {first, creases[i].distance_mm, i};
  }
  std::sort(ranks.begin(), ranks.end(), [](const Rank& a, const Rank& b) {
    return std::tie(a.first, a.second, a.index) < std::tie(b.first, b.second, b.index);
  });
  std::vector<Crease> sorted;
  sorted.reserve(creases.size());
  for (const Rank& rank : ranks)
    sorted.push_back(creases[rank.index]);
  return sorted;
}

PatchGrower::PatchGrower(const NearTriangles& near)
    : near_(near), mark_(static_cast<std::size_t>(near.size()), 0) {}

Patch PatchGrower::grown(int seed, const Vector3d& axis, double turn_limit_rad) {
  ++round_;
  const double least_cosine = std::cos(turn_limit_rad);
  Patch patch{seed};
  mark_[static_cast<std::size_t>(seed)] = round_;
  constexpr double kNoneOut = 2.0;
  double most_in = std::abs(near_.normals.col(seed).dot(axis)), least_out = kNoneOut;
  for (std::size_t next = 0; next < patch.size(); ++next) {
    for (int k = 0; k < 3; ++k) {
      const int other = near_.across(k, patch[next]);
      if (other < 0 || mark_[static_cast<std::size_t>(other)] == round_ ||
          near_.normals.col(patch[next]).dot(near_.normals.col(other)) < least_cosine) {
        continue;
      }
      const double lean = std::abs(near_.normals.col(other).dot(axis));
      if (lean > kMostLean) {
        least_out = std::min(least_out, lean);
        continue;
      }
      most_in = std::max(most_in, lean);
      mark_[static_cast<std::size_t>(other)] = round_;
      patch.push_back(other);
    }
  }
  same_reach_ = {};
  same_reach_.axis = axis;
  same_reach_.sine = std::min(kMostLean - most_in, least_out - kMostLean) / (1.0 + kMostLean);
  if (least_out == kNoneOut) tell_flat_reach(patch);
  return patch;
}

/// Of a patch that ends at sharp edges alone: along any axis that leans to no facet too far, the
/// same is reached. So it is in nearly flat faces.
void PatchGrower::tell_flat_reach(const Patch& patch) {
  Vector3d sum = Vector3d::Zero();
  for (const int f : patch)
    sum += near_.normals.col(f);
  same_reach_.mean_normal = sum.stableNormalized();
  double widest = 0.0;  // sine of an angle to the mean
  for (const int f : patch) {
    const Vector3d normal = near_.normals.col(f);
    const bool looks_its_way = normal.dot(same_reach_.mean_normal) > 0.0;
    widest = std::max(widest, looks_its_way ? normal.cross(same_reach_.mean_normal).norm() : 1.0);
  }
  same_reach_.cosine = kMostLean - widest;
}

}  // namespace trammel::hole_walls
