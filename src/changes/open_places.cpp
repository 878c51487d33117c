#include "trammel/changes/open_places.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/core_points.hpp"
#include "trammel/changes/view_directions.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kAlike = 0.766;      // cosine of 40°: looks one way
constexpr double kBeside = 2.0;       // of the cores' distance: neighbours
constexpr double kRim = 0.15;         // of the cylinder: what of an edge still reads
constexpr double kMiddle = 0.7;       // of a place's radius: there the other scan has no points
constexpr double kStrays = 0.05;      // of the points that usually lie there
constexpr double kMostlyAlike = 0.9;  // of a place's area
constexpr double kWidestGap = kPi / 2.0;
constexpr double kMostTaken = 1.0 / 3.0;
constexpr double kHalfDirection = 0.5 * kMostLean / kLeanRings;
constexpr double kLeastLean = 0.25;  // cosine: what lies flatter does not stand before a place

Vector3d mean_normal(const CorePoints& cores, const CoreGroup& group) {
  Vector3d sum = Vector3d::Zero();
  for (const Index at : group)
    sum += cores.area_mm2[at] * cores.normals.col(at);
  return sum.normalized();
}

Vector3d middle_of(const CorePoints& cores, const CoreGroup& group) {
  Vector3d sum = Vector3d::Zero();
  double area = 0.0;
  for (const Index at : group) {
    sum += cores.area_mm2[at] * cores.points_mm.col(at);
    area += cores.area_mm2[at];
  }
  return area > 0.0 ? Vector3d(sum / area) : Vector3d(cores.points_mm.col(group.front()));
}

/// Of a disc of that area.
double radius_of(double area_mm2) {
  return std::sqrt(area_mm2 / kPi);
}

class Finder {
 public:
  Finder(const CorePoints& cores, const std::vector<std::uint8_t>& is_only, const OtherScan& other,
         const ChangeScales& scales, bool sides_known)
      : cores_(cores),
        is_only_(is_only),
        other_(other),
        scales_(scales),
        sides_known_(sides_known),
        index_(cores.points_mm) {}

  [[nodiscard]] std::vector<OpenPlace> find(double least_area_mm2) const {
    std::vector<OpenPlace> out;
    const auto is_member = [&](Index at) { return is_only(at); };
    for (const CoreGroup& group : groups_of_cores(cores_, index_, scales_.core_mm, is_member)) {
      const double shown = area_of(cores_, group), rim = kRim * scales_.cylinder_mm;
      const double area = kPi * std::pow(radius_of(shown) + rim, 2);
      if (radius_of(shown) < 0.5 * scales_.cylinder_mm || area < least_area_mm2) continue;
      const OpenPlace place{true, area, middle_of(cores_, group), mean_normal(cores_, group)};
      if (is_empty(place, kMiddle * radius_of(shown)) && looks_one_way(group, place.normal) &&
          is_surrounded(group, place) && is_in_view(group, place))
        out.push_back(place);
    }
    return out;
  }

 private:
  [[nodiscard]] bool is_only(Index at) const { return is_only_[static_cast<std::size_t>(at)] != 0; }

  /// Of the other scan hardly a point lies level with its middle.
  [[nodiscard]] bool is_empty(const OpenPlace& place, double radius_mm) const {
    double level = 0.0;
    for (const Neighbour& n : other_.index.within(place.center_mm, radius_mm)) {
      const Vector3d arm = other_.points_mm.col(n.index) - place.center_mm;
      level += std::abs(arm.dot(place.normal)) <= scales_.cylinder_mm ? 1.0 : 0.0;
    }
    const double share = 2.0 * radius_mm / scales_.cylinder_mm;
    return level <= std::max(1.0, kStrays * kCylinderPoints * share * share);
  }

  [[nodiscard]] bool looks_one_way(const CoreGroup& group, const Vector3d& normal) const {
    double alike = 0.0;
    for (const Index at : group)
      if (cores_.normals.col(at).dot(normal) >= kAlike) alike += cores_.area_mm2[at];
    return alike >= kMostlyAlike * area_of(cores_, group);
  }

  [[nodiscard]] bool is_surrounded(const CoreGroup& group, const OpenPlace& place) const {
    const Vector3d u = place.normal.unitOrthogonal(), v = place.normal.cross(u);
    std::vector<double> turns;
    for (const Index at : group) {
      for (const Neighbour& n :
           index_.within(cores_.points_mm.col(at), kBeside * scales_.core_mm)) {
        if (is_only(n.index) || cores_.normals.col(n.index).dot(place.normal) < kAlike) continue;
        const Vector3d arm = cores_.points_mm.col(n.index) - place.center_mm;
        turns.push_back(std::atan2(arm.dot(v), arm.dot(u)));
      }
    }
    return widest_gap(std::move(turns)) <= kWidestGap;
  }

  [[nodiscard]] bool is_in_view(CoreGroup group, const OpenPlace& place) const {
    std::sort(group.begin(), group.end());
    if (taken_share(group, place, place.normal) <= kMostTaken) return true;
    return !sides_known_ && taken_share(group, place, -place.normal) <= kMostTaken;
  }

  /// Of the directions about `out`; a core point takes what its piece of the surface covers, so
  /// that the other face of a thin wall closes its side. What the place itself consists of, both
  /// faces of a filled hole in thin sheet, is not in its own way.
  /// @param group  ascending
  [[nodiscard]] double taken_share(const CoreGroup& group, const OpenPlace& place,
                                   const Vector3d& out) const {
    const Matrix3Xd before = directions_about(out);
    std::vector<std::uint8_t> taken(static_cast<std::size_t>(before.cols()), 0);
    const auto mark = [&](const Matrix3Xd& points, bool own) {
      for (Index i = 0; i < points.cols(); ++i) {
        const Vector3d arm = points.col(i) - place.center_mm;
        const double far = arm.norm();
        if (far > kStandOff_mm || arm.dot(out) < kLeastLean * far) continue;
        if (own && std::binary_search(group.begin(), group.end(), i)) continue;
        const double half_width = std::max(kHalfDirection, std::atan2(scales_.core_mm, far));
        const double least = std::cos(half_width) * far;
        for (Index k = 0; k < before.cols(); ++k)
          if (arm.dot(before.col(k)) > least) taken[static_cast<std::size_t>(k)] = 1;
      }
    };
    mark(cores_.points_mm, true);
    mark(other_.cores_mm, false);
    const auto count = std::count(taken.begin(), taken.end(), 1);
    return static_cast<double>(count) / static_cast<double>(taken.size());
  }

  const CorePoints& cores_;
  const std::vector<std::uint8_t>& is_only_;
  const OtherScan& other_;
  const ChangeScales& scales_;
  bool sides_known_;
  PointIndex index_;
};

}  // namespace

std::vector<OpenPlace> open_places_among(const CorePoints& cores,
                                         const std::vector<std::uint8_t>& is_only,
                                         const OtherScan& other, const ChangeScales& scales,
                                         double least_area_mm2, bool sides_known) {
  if (std::find(is_only.begin(), is_only.end(), 1) == is_only.end()) return {};
  return Finder(cores, is_only, other, scales, sides_known).find(least_area_mm2);
}

}  // namespace trammel
