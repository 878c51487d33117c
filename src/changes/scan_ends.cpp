#include "trammel/changes/scan_ends.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <set>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kNextTo = 2.5;          // cylinders: a strip of one is no part of the group
constexpr double kAdjacent = 1.5;        // core points' distances
constexpr double kAbout = 2.0;           // the same
constexpr double kBorderGap = 2.0;       // rad: of a straight border it is π, of a corner 3π/2
constexpr double kMostAtBorder = 0.6;    // of the contacts
constexpr double kLooksAlike = 0.5;      // cosine
constexpr std::size_t kEdgePoints = 10;  // fewer have normals gone wrong
constexpr std::size_t kOthersOwn = 3;    // core points: fewer lie at the border of any scan

/// Shown by both, beside what this scan alone shows, and near the group.
std::vector<Index> contacts(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
                            const PointIndex& index, const CoreGroup& group,
                            const ChangeScales& scales) {
  std::set<Index> near;
  for (const Index at : group)
    for (const Neighbour& n : index.within(cores.points_mm.col(at), kNextTo * scales.cylinder_mm))
      if (is_only[static_cast<std::size_t>(n.index)] == 0) near.insert(n.index);
  std::vector<Index> out;
  for (const Index at : near) {
    const auto about = index.within(cores.points_mm.col(at), kAdjacent * scales.core_mm);
    if (std::any_of(about.begin(), about.end(), [&](const Neighbour& n) {
          return is_only[static_cast<std::size_t>(n.index)] != 0;
        }))
      out.push_back(at);
  }
  return out;
}

/// What both show leaves a gap about the core point, seen along its normal.
bool is_at_border(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
                  const PointIndex& index, Index at, double reach_mm) {
  const Vector3d normal = cores.normals.col(at);
  const Vector3d across = normal.unitOrthogonal(), along = normal.cross(across);
  std::vector<double> angles;
  for (const Neighbour& n : index.within(cores.points_mm.col(at), reach_mm)) {
    if (n.index == at || is_only[static_cast<std::size_t>(n.index)] != 0) continue;
    const Vector3d arm = cores.points_mm.col(n.index) - cores.points_mm.col(at);
    angles.push_back(std::atan2(arm.dot(along), arm.dot(across)));
  }
  if (angles.empty()) return true;
  std::sort(angles.begin(), angles.end());
  double widest = angles.front() + 2.0 * kPi - angles.back();
  for (std::size_t i = 1; i < angles.size(); ++i)
    widest = std::max(widest, angles[i] - angles[i - 1]);
  return widest > kBorderGap;
}

/// The other scan has a surface of its own there.
bool shows_its_own(const CorePoints& cores, const CoreGroup& group,
                   const std::vector<Index>& contacts, const ShownAlone& other, double reach_mm) {
  std::vector<int> own;
  for (std::size_t i = 0; i < other.is_only.size(); ++i)
    if (other.is_only[i] != 0) own.push_back(static_cast<int>(i));
  if (own.size() < kOthersOwn) return false;
  const PointIndex index(other.cores_mm, own);
  std::set<Index> near;
  const auto look_about = [&](Index at) {
    for (const Neighbour& n : index.within(cores.points_mm.col(at), reach_mm))
      near.insert(n.index);
  };
  for (const Index at : contacts)
    look_about(at);
  for (const Index at : group)
    look_about(at);
  return near.size() >= kOthersOwn;
}

/// Where the surface begins the other scan has points that look another way than any surface there
/// of this scan: the edge of a sheet that was cut, too narrow for core points of its own.
bool shows_an_edge(const CorePoints& cores, const PointIndex& index,
                   const std::vector<Index>& contacts, const Cloud& other,
                   const ChangeScales& scales, bool sides_known) {
  const auto looks_another_way = [&](int point) {
    const Vector3d normal = other.normals.col(point);
    for (const Neighbour& n :
         index.within(other.points_mm.col(point), kAdjacent * scales.core_mm)) {
      const double cosine = cores.normals.col(n.index).dot(normal);
      if ((sides_known ? cosine : std::abs(cosine)) > kLooksAlike) return false;
    }
    return true;
  };
  std::set<Index> edge;
  for (const Index at : contacts)
    for (const Neighbour& n : other.index.within(cores.points_mm.col(at), scales.cylinder_mm))
      if (looks_another_way(n.index)) edge.insert(n.index);
  return edge.size() >= kEdgePoints;
}

}  // namespace

bool other_scan_ended(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
                      const PointIndex& index, const CoreGroup& group, const ShownAlone& other,
                      const ChangeScales& scales, bool sides_known) {
  const std::vector<Index> next_to = contacts(cores, is_only, index, group, scales);
  if (next_to.empty()) return false;
  const auto at_border = std::count_if(next_to.begin(), next_to.end(), [&](Index at) {
    return is_at_border(cores, is_only, index, at, kAbout * scales.core_mm);
  });
  if (static_cast<double>(at_border) < kMostAtBorder * static_cast<double>(next_to.size()))
    return false;
  return !shows_its_own(cores, group, next_to, other, kNextTo * scales.cylinder_mm) &&
         !shows_an_edge(cores, index, next_to, other.cloud, scales, sides_known);
}

}  // namespace trammel
