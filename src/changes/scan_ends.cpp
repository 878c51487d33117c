#include "trammel/changes/scan_ends.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <set>

#include "trammel/base/parallel.hpp"
#include "trammel/changes/view_directions.hpp"

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

/// Widest angle, seen along the normal, that no arm from the middle points into, rad.
double gap_about(const Vector3d& middle, const Vector3d& normal, const Eigen::Matrix3Xd& points) {
  const Vector3d across = normal.unitOrthogonal(), along = normal.cross(across);
  std::vector<double> turns;
  for (Index i = 0; i < points.cols(); ++i) {
    const Vector3d arm = points.col(i) - middle;
    turns.push_back(std::atan2(arm.dot(along), arm.dot(across)));
  }
  return widest_gap(std::move(turns));
}

std::vector<int> those_set(const std::vector<std::uint8_t>& flags) {
  const auto all = indices_where(flags.size(), [&](std::size_t i) { return flags[i] != 0; });
  return {all.begin(), all.end()};
}

}  // namespace

ScanEnds::ScanEnds(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
                   const PointIndex& index, const ShownAlone& other, const ChangeScales& scales,
                   bool sides_known)
    : cores_(cores),
      is_only_(is_only),
      index_(index),
      other_(other),
      scales_(scales),
      sides_known_(sides_known),
      others_own_(those_set(other.is_only)),
      others_own_index_(other.cores_mm, others_own_) {}

/// Shown by both, beside what this scan alone shows, and near the group.
std::vector<Index> ScanEnds::contacts_of(const CoreGroup& group) const {
  std::set<Index> near;
  for (const Index at : group)
    for (const Neighbour& n :
         index_.within(cores_.points_mm.col(at), kNextTo * scales_.cylinder_mm))
      if (is_shared(n.index)) near.insert(n.index);
  std::vector<Index> out;
  for (const Index at : near) {
    const auto about = index_.within(cores_.points_mm.col(at), kAdjacent * scales_.core_mm);
    if (std::any_of(about.begin(), about.end(),
                    [&](const Neighbour& n) { return !is_shared(n.index); }))
      out.push_back(at);
  }
  return out;
}

/// What both show leaves a gap about the core point.
bool ScanEnds::is_at_border(Index at) const {
  std::vector<Index> about;
  for (const Neighbour& n : index_.within(cores_.points_mm.col(at), kAbout * scales_.core_mm))
    if (n.index != at && is_shared(n.index)) about.push_back(n.index);
  return gap_about(cores_.points_mm.col(at), cores_.normals.col(at),
                   cores_.points_mm(Eigen::all, about)) > kBorderGap;
}

/// They lie all round the foot of a stud, say, and not along a border. Where their normals cancel,
/// as those of a sheet's two faces do, they are no ring.
bool ScanEnds::are_all_round(const std::vector<Index>& contacts) const {
  if (contacts.size() < kFewestInRing) return false;
  const Eigen::Matrix3Xd points_mm = cores_.points_mm(Eigen::all, contacts);
  const Vector3d normal = cores_.normals(Eigen::all, contacts).rowwise().mean();
  return normal.norm() > kLooksAlike &&
         gap_about(points_mm.rowwise().mean(), normal.normalized(), points_mm) < kBorderGap;
}

bool ScanEnds::other_shows_its_own(const CoreGroup& group,
                                   const std::vector<Index>& contacts) const {
  if (others_own_.size() < kOthersOwn) return false;
  std::set<Index> near;
  for (const std::vector<Index>* places : {&contacts, &group})
    for (const Index at : *places)
      for (const Neighbour& n :
           others_own_index_.within(cores_.points_mm.col(at), kNextTo * scales_.cylinder_mm))
        near.insert(n.index);
  return near.size() >= kOthersOwn;
}

/// Than any surface there of this scan.
bool ScanEnds::looks_another_way(int other_point) const {
  const Vector3d normal = other_.cloud.normals.col(other_point);
  const auto about =
      index_.within(other_.cloud.points_mm.col(other_point), kAdjacent * scales_.core_mm);
  return std::none_of(about.begin(), about.end(), [&](const Neighbour& n) {
    const double cosine = cores_.normals.col(n.index).dot(normal);
    return (sides_known_ ? cosine : std::abs(cosine)) > kLooksAlike;
  });
}

/// Of a sheet that was cut, too narrow for core points of its own.
bool ScanEnds::other_shows_an_edge(const std::vector<Index>& contacts) const {
  std::set<Index> edge;
  for (const Index at : contacts)
    for (const Neighbour& n :
         other_.cloud.index.within(cores_.points_mm.col(at), scales_.cylinder_mm))
      if (looks_another_way(n.index)) edge.insert(n.index);
  return edge.size() >= kEdgePoints;
}

bool ScanEnds::other_ended_before(const CoreGroup& group) const {
  const std::vector<Index> contacts = contacts_of(group);
  if (contacts.empty() || are_all_round(contacts)) return false;
  const auto at_border =
      std::count_if(contacts.begin(), contacts.end(), [&](Index at) { return is_at_border(at); });
  return static_cast<double>(at_border) >= kMostAtBorder * static_cast<double>(contacts.size()) &&
         !other_shows_its_own(group, contacts) && !other_shows_an_edge(contacts);
}

}  // namespace trammel
