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
constexpr std::size_t kFewestInRing = 4;
constexpr std::size_t kOthersOwn = 3;  // core points: fewer lie at the border of any scan

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

/// Widest angle, seen along the normal, that no arm from the middle points into, rad.
double widest_gap(const Vector3d& middle, const Vector3d& normal, const Eigen::Matrix3Xd& points) {
  const Vector3d across = normal.unitOrthogonal(), along = normal.cross(across);
  std::vector<double> angles;
  for (Index i = 0; i < points.cols(); ++i) {
    const Vector3d arm = points.col(i) - middle;
    angles.push_back(std::atan2(arm.dot(along), arm.dot(across)));
  }
  if (angles.empty()) return 2.0 * kPi;
  std::sort(angles.begin(), angles.end());
  double widest = angles.front() + 2.0 * kPi - angles.back();
  for (std::size_t i = 1; i < angles.size(); ++i)
    widest = std::max(widest, angles[i] - angles[i - 1]);
  return widest;
}

/// What both show leaves a gap about the core point.
bool is_at_border(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
                  const PointIndex& index, Index at, double reach_mm) {
  std::vector<Index> about;
  for (const Neighbour& n : index.within(cores.points_mm.col(at), reach_mm))
    if (n.index != at && is_only[static_cast<std::size_t>(n.index)] == 0) about.push_back(n.index);
  return widest_gap(cores.points_mm.col(at), cores.normals.col(at),
                    cores.points_mm(Eigen::all, about)) > kBorderGap;
}

/// They lie all round the foot of a stud, say, and not along a border. Where their normals cancel,
/// as those of a sheet's two faces do, they are no ring.
bool are_all_round(const CorePoints& cores, const std::vector<Index>& contacts) {
  const Eigen::Matrix3Xd points_mm = cores.points_mm(Eigen::all, contacts);
  const Vector3d normal = cores.normals(Eigen::all, contacts).rowwise().mean();
  return normal.norm() > kLooksAlike &&
         widest_gap(points_mm.rowwise().mean(), normal.normalized(), points_mm) < kBorderGap &&
         contacts.size() >= kFewestInRing;
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
  if (next_to.empty() || are_all_round(cores, next_to)) return false;
  const auto at_border = std::count_if(next_to.begin(), next_to.end(), [&](Index at) {
    return is_at_border(cores, is_only, index, at, kAbout * scales.core_mm);
  });
  if (static_cast<double>(at_border) < kMostAtBorder * static_cast<double>(next_to.size()))
    return false;
  return !shows_its_own(cores, group, next_to, other, kNextTo * scales.cylinder_mm) &&
         !shows_an_edge(cores, index, next_to, other.cloud, scales, sides_known);
}

}  // namespace trammel
