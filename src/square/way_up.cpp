#include "trammel/square/way_up.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/base/directions.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/square/level_plane.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Of the normals of one face nearly all look one way.
constexpr double kOneWay = 0.5;
/// A surface seen all round has a sum of no normals; one seen from above sums to what it covers.
constexpr double kOpen = 0.1;
constexpr double kFarOut = 0.98;     // quantile: a few strays make no floor
constexpr double kReachesOut = 1.1;  // the floor over what stands on it, mean of all ways

struct Facing {
  double of_plane = 0.0;  ///< mean of the level face's normals along the plane's
  double of_all = 0.0;    ///< the same of all normals
};

Facing facing_of(const FoundPlane& level, const Patches& patches, const Scan& scan,
                 const PointIndex& index) {
  Facing out;
  double on = 0.0, all = 0.0;
  for (Index i = 0; i < patches.size(); ++i) {
    const auto near = index.nearest(patches.points_mm.col(i), 1);
    if (near.empty()) continue;
    const double along = level.normal.dot(scan.normals.col(near.front().index));
    out.of_all += along;
    all += 1.0;
    if (!lies_on(level, patches, i)) continue;
    out.of_plane += along;
    on += 1.0;
  }
  out.of_all /= std::max(1.0, all);
  out.of_plane /= std::max(1.0, on);
  return out;
}

/// In each of sixteen ways along the plane the face on it goes farther than the rest.
bool reaches_out(const FoundPlane& level, const Patches& patches) {
  constexpr int kWays = 16;
  const Vector3d middle = patches.points_mm.rowwise().mean();
  std::vector<Vector3d> level_arms, other_arms;
  for (Index i = 0; i < patches.size(); ++i)
    (lies_on(level, patches, i) ? level_arms : other_arms)
        .emplace_back(patches.points_mm.col(i) - middle);
  if (level_arms.empty() || other_arms.empty()) return false;
  double ratios = 0.0;
  for (const Vector3d& way : directions_across(level.normal, kWays)) {
    std::vector<double> on, rest;
    for (const Vector3d& arm : level_arms)
      on.push_back(way.dot(arm));
    for (const Vector3d& arm : other_arms)
      rest.push_back(way.dot(arm));
    const double floor_mm = quantile(on, kFarOut), other_mm = quantile(rest, kFarOut);
    if (floor_mm < other_mm) return false;
    ratios += floor_mm / std::max(other_mm, 1e-9 * patches.diagonal_mm);
  }
  return ratios > kReachesOut * kWays;
}

}  // namespace

WayUp way_up(const FoundPlane& level, const Patches& patches, const Scan& scan,
             const PointIndex& index, const std::optional<Vector3d>& above_mm) {
  WayUp out;
  if (above_mm) {
    out.turned = level.normal.dot(*above_mm) < level.offset_mm;
    out.known = true;
    return out;
  }
  if (reaches_out(level, patches)) {
    out.known = true;
    return out;
  }
  if (!scan.has_normals()) {
    out.doubt =
        "whether the level face is an underside or a top cannot be told without normals; it was "
        "taken for an underside";
    return out;
  }
  const Facing facing = facing_of(level, patches, scan, index);
  const bool away = facing.of_plane < -kOneWay;
  out.turned = away && facing.of_all < -kOpen;
  out.known = facing.of_plane > kOneWay || (away && std::abs(facing.of_all) > kOpen);
  if (!out.known)
    out.doubt =
        "whether the level face is an underside or a top cannot be told of a thing seen all round; "
        "it was taken for an underside";
  return out;
}

}  // namespace trammel
