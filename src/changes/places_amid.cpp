#include "trammel/changes/places_amid.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>

#include "trammel/base/parallel.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/view_directions.hpp"
#include "trammel/changes/voids.hpp"
#include "trammel/changes/why_not_seen.hpp"
#include "trammel/geometry/sectors.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kSamplesLinked = 0.7;  // of the cylinder: twice as far as samples lie apart
constexpr double kAround = 2.0;         // cylinders beyond the nearest point in its surface
constexpr double kOneSurface = 0.766;   // cosine of 40°: one smooth surface
constexpr double kFarthest = 4.0;       // cylinders: larger ones are told by core points
constexpr double kLevel = 0.26;         // sine of 15° above a plane
constexpr int kSectors = 12;
constexpr int kFewestInSector = 2;  // one may be a stray
constexpr int kWidestRun = 3;       // sectors: 90°
constexpr double kBlurs = 3.0;      // of the blur: surely before or behind
constexpr int kFewestBehind = 5;
constexpr double kCrossing = 0.5;    // cosine: a surface that runs through another one
constexpr double kOtherFace = -0.5;  // cosine: the other face of a wall
constexpr double kLeastAmid = 0.25;  // of the area: the foot of a stud four times as tall

/// Looks along no more than the disc that is empty about a void point: what lies beside it, a
/// hole's rim, say, is not behind it. The same third of its usual points is enough to read.
M3c2Settings disc_of_a_void(const M3c2Settings& how) {
  M3c2Settings out = how;
  out.cylinder_mm = void_disc_mm(how);
  out.least_points = kVoidPoints / 3;
  return out;
}

class AmidFinder {
 public:
  AmidFinder(const CorePoints& voids, const Cloud& own, const Cloud& other,
             const Eigen::Matrix3Xd& other_cores_mm, const ChangeScales& scales,
             const M3c2Settings& how, const ScanFit& fit)
      : voids_(voids),
        own_(own),
        other_(other),
        how_(how),
        fit_(fit),
        disc_(disc_of_a_void(how)),
        index_(voids.points_mm),
        why_(other, other_cores_mm, scales.core_mm, disc_) {}

  [[nodiscard]] std::vector<PlaceAmid> find(double least_area_mm2) const {
    const auto count = static_cast<std::size_t>(voids_.size());
    std::vector<std::uint8_t> is_left(count, 0), is_in(count, 0), is_across(count, 0);
    for_each_index(
        count,
        [&](std::size_t i) {
          const Vector3d at = voids_.points_mm.col(static_cast<Index>(i)),
                         normal = voids_.normals.col(static_cast<Index>(i));
          if (why_.is_a_far_side(at, normal) || why_.is_hidden(at, normal)) return;
          is_left[i] = 1;
          const double margin =
              kBlurs * std::hypot(fit_.noise_mm, fit_.standard_error_mm(at, normal));
          is_in[i] = is_in_surface(at, normal, margin) ? 1 : 0;
          is_across[i] = is_in[i] == 0 && (is_across_surface(at, normal, margin) ||
                                           is_before_surface(at, normal))
                             ? 1
                             : 0;
        },
        16);
    std::vector<PlaceAmid> out;
    for (const CoreGroup& group : linked_cores(
             voids_, index_, kSamplesLinked * how_.cylinder_mm,
             [&](Index at) { return is_left[static_cast<std::size_t>(at)] != 0; },
             [](Index, Index) { return true; })) {
      const double area = area_of(voids_, group);
      const double in = area_where(group, is_in), amid = in + area_where(group, is_across);
      if (area >= least_area_mm2 && amid >= std::min(least_area_mm2, kLeastAmid * area))
        out.push_back({place_on_surface(voids_, group), in > 0.5 * amid, group});
    }
    return out;
  }

 private:
  [[nodiscard]] double cosine(const Vector3d& a, const Vector3d& b) const {
    return cosine_between(a, b, how_.sides_known);
  }

  [[nodiscard]] double area_where(const CoreGroup& group,
                                  const std::vector<std::uint8_t>& is_set) const {
    double area = 0.0;
    for (const Index at : group)
      if (is_set[static_cast<std::size_t>(at)] != 0) area += voids_.area_mm2[at];
    return area;
  }

  [[nodiscard]] bool is_in_surface(const Vector3d& at, const Vector3d& normal,
                                   double margin_mm) const {
    const Vector3d u = normal.unitOrthogonal(), v = normal.cross(u);
    std::array<int, kSectors> seen{};
    double most = std::numeric_limits<double>::infinity();
    for (const Neighbour& n : other_.index.within(at, kFarthest * how_.cylinder_mm)) {
      if (n.distance_mm > most) break;
      if (cosine(other_.normals.col(n.index), normal) < kOneSurface) continue;
      const Vector3d arm = other_.points_mm.col(n.index) - at;
      if (std::abs(arm.dot(normal)) > margin_mm + kLevel * n.distance_mm) continue;
      most = std::min(most, n.distance_mm + kAround * how_.cylinder_mm);
      ++seen[sector_of(arm.dot(u), arm.dot(v), kSectors)];
    }
    int run = 0, widest = 0;
    for (std::size_t k = 0; k < 2 * seen.size(); ++k) {
      run = seen[k % seen.size()] >= kFewestInSector ? 0 : run + 1;
      widest = std::max(widest, run);
    }
    return widest <= kWidestRun;
  }

  /// How far behind it the wall's other face lies that the own scan shows; a cylinder where none.
  [[nodiscard]] double thickness_mm(const Vector3d& at, const Vector3d& normal,
                                    double margin_mm) const {
    double thick = how_.cylinder_mm;
    for (const Neighbour& n : own_.index.within(at, how_.cylinder_mm)) {
      const double behind = -(own_.points_mm.col(n.index) - at).dot(normal);
      const double facing = own_.normals.col(n.index).dot(normal);
      if (behind > margin_mm && (how_.sides_known ? facing : -std::abs(facing)) < kOtherFace)
        thick = std::min(thick, behind);
    }
    return thick;
  }

  [[nodiscard]] bool is_across_surface(const Vector3d& at, const Vector3d& normal,
                                       double margin_mm) const {
    std::vector<int> before, behind;
    const double thick = thickness_mm(at, normal, margin_mm);
    for (const Neighbour& n : other_.index.within(at, how_.cylinder_mm)) {
      if (std::abs(other_.normals.col(n.index).dot(normal)) > kCrossing) continue;
      const double above = (other_.points_mm.col(n.index) - at).dot(normal);
      if (above > margin_mm) before.push_back(n.index);
      if (above < -margin_mm && above > margin_mm - thick) behind.push_back(n.index);
    }
    const auto runs_on = std::count_if(behind.begin(), behind.end(), [&](int b) {
      return std::any_of(before.begin(), before.end(),
                         [&](int f) { return are_level(b, f, margin_mm); });
    });
    return runs_on >= kFewestBehind;
  }

  [[nodiscard]] bool is_before_surface(const Vector3d& at, const Vector3d& normal) const {
    if (!how_.sides_known) return false;
    M3c2Settings deep = disc_;
    deep.depth_mm = kStandOff_mm;
    const auto nearest = mean_in_cylinder(other_, at, normal, 0.0, deep);
    return nearest && nearest->mean_mm < 0.0;
  }

  /// Two points of the other scan lie in one smooth surface.
  [[nodiscard]] bool are_level(int a, int b, double margin_mm) const {
    const Vector3d n_a = other_.normals.col(a), n_b = other_.normals.col(b);
    if (cosine(n_a, n_b) < kOneSurface) return false;
    const Vector3d arm = other_.points_mm.col(a) - other_.points_mm.col(b);
    const double most = margin_mm + kLevel * arm.norm();
    return std::abs(arm.dot(n_a)) <= most && std::abs(arm.dot(n_b)) <= most;
  }

  const CorePoints& voids_;
  const Cloud& own_;
  const Cloud& other_;
  const M3c2Settings& how_;
  const ScanFit& fit_;
  M3c2Settings disc_;
  PointIndex index_;
  WhyNotSeen why_;
};

}  // namespace

std::vector<PlaceAmid> places_amid(const CorePoints& voids, const Cloud& own, const Cloud& other,
                                   const Eigen::Matrix3Xd& other_cores_mm,
                                   const ChangeScales& scales, const M3c2Settings& how,
                                   const ScanFit& fit, double least_area_mm2) {
  if (voids.size() == 0) return {};
  return AmidFinder(voids, own, other, other_cores_mm, scales, how, fit).find(least_area_mm2);
}

}  // namespace trammel
