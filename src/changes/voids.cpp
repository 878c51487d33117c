#include "trammel/changes/voids.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/changes/core_points.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr int kLookedAt = 4 * kVoidPoints;  // neighbours, some of which face elsewhere
constexpr double kAboutPlace = 2.0;         // cylinders: places that tell of the spacing
constexpr std::size_t kFewestPlaces = 3;
constexpr int kFewestOwn = 4;           // of 36: fewer are no surface
constexpr double kLevelWith = 0.26;     // sine of 15° above a plane
constexpr int kAreaPoints = 3;          // neighbours: more reach over a strip's edge
constexpr double kSamplesApart = 0.35;  // of the cylinder

class VoidFinder {
 public:
  VoidFinder(const Cloud& own, const Matrix3Xd& own_places_mm, const Cloud& other,
             const Matrix3Xd& other_places_mm, const M3c2Settings& how)
      : own_(own),
        other_(other),
        how_(how),
        own_spacing_(own, own_places_mm, how),
        other_spacing_(other, other_places_mm, how),
        usual_mm_(0.5 * void_disc_mm(how)) {}

  [[nodiscard]] CorePoints find() const {
    std::vector<std::uint8_t> is_void(static_cast<std::size_t>(own_.points_mm.cols()), 0);
    for_each_index(
        is_void.size(),
        [&](std::size_t i) { is_void[i] = is_empty(static_cast<Index>(i)) ? 1 : 0; }, 256);
    CorePoints out = spread(is_void);
    if (out.size() > 0) add_areas(opened(is_void), out);
    return out;
  }

 private:
  [[nodiscard]] bool is_alike(const Vector3d& a, const Vector3d& b) const {
    return !how_.sides_known || a.dot(b) >= how_.least_facing;
  }

  [[nodiscard]] bool other_has_any(const Vector3d& at, const Vector3d& normal,
                                   double radius_mm) const {
    const auto near = other_.index.within(at, radius_mm);
    return std::any_of(near.begin(), near.end(), [&](const Neighbour& n) {
      return is_alike(other_.normals.col(n.index), normal);
    });
  }

  [[nodiscard]] bool is_empty(Index point) const {
    const Vector3d at = own_.points_mm.col(point), normal = own_.normals.col(point);
    if (other_has_any(at, normal, usual_mm_)) return false;
    const double reach = kAboutPlace * how_.cylinder_mm;
    const double radius = std::max(own_spacing_.radius_mm(at, normal, reach),
                                   other_spacing_.radius_mm(at, normal, reach));
    if (radius > usual_mm_ && other_has_any(at, normal, radius)) return false;
    return is_of_a_surface(at, normal);
  }

  /// Level with it most points face like it.
  [[nodiscard]] bool is_of_a_surface(const Vector3d& at, const Vector3d& normal) const {
    int level = 0, alike = 0;
    for (const Neighbour& n : own_.index.within(at, 2.0 * usual_mm_)) {
      if (std::abs((own_.points_mm.col(n.index) - at).dot(normal)) > kLevelWith * n.distance_mm)
        continue;
      ++level;
      alike += is_alike(own_.normals.col(n.index), normal) ? 1 : 0;
    }
    return alike >= kFewestOwn && 2 * alike >= level;
  }

  [[nodiscard]] CorePoints spread(const std::vector<std::uint8_t>& is_void) const {
    const double apart = kSamplesApart * how_.cylinder_mm;
    std::vector<std::uint8_t> is_covered(is_void.size(), 0);
    std::vector<Index> kept;
    std::vector<Vector3d> normals;
    for (std::size_t i = 0; i < is_void.size(); ++i) {
      if (is_void[i] == 0 || is_covered[i] != 0) continue;
      const auto at = static_cast<Index>(i);
      const Vector3d own = own_.normals.col(at);
      Vector3d sum = Vector3d::Zero();
      for (const Neighbour& n : own_.index.within(own_.points_mm.col(at), apart)) {
        const Vector3d normal = own_.normals.col(n.index);
        if (cosine_between(normal, own, how_.sides_known) < how_.least_facing) continue;
        is_covered[static_cast<std::size_t>(n.index)] = 1;
        sum += normal.dot(own) < 0.0 ? Vector3d(-normal) : normal;
      }
      kept.push_back(at);
      normals.push_back(sum.normalized());
    }
    CorePoints out;
    out.points_mm = own_.points_mm(Eigen::all, kept);
    out.normals.resize(3, out.points_mm.cols());
    for (std::size_t k = 0; k < normals.size(); ++k)
      out.normals.col(static_cast<Index>(k)) = normals[k];
    out.area_mm2.setZero(out.points_mm.cols());
    return out;
  }

  /// Points within the disc about a void one: as far as the other scan's emptiness surely reaches.
  [[nodiscard]] std::vector<std::uint8_t> opened(const std::vector<std::uint8_t>& is_void) const {
    std::vector<std::uint8_t> out(is_void.size(), 0);
    for (std::size_t i = 0; i < is_void.size(); ++i) {
      if (is_void[i] == 0) continue;
      const auto at = static_cast<Index>(i);
      for (const Neighbour& n : own_.index.within(own_.points_mm.col(at), usual_mm_))
        if (is_alike(own_.normals.col(n.index), own_.normals.col(at)))
          out[static_cast<std::size_t>(n.index)] = 1;
    }
    return out;
  }

  /// Its share of the disc that reaches to its third neighbour.
  [[nodiscard]] double area_of_point(Index point) const {
    int alike = 0;
    double reach_mm = 0.0;
    for (const Neighbour& n : own_.index.nearest(own_.points_mm.col(point), kLookedAt)) {
      if (n.index == point || !is_alike(own_.normals.col(n.index), own_.normals.col(point)))
        continue;
      reach_mm = n.distance_mm;
      if (++alike == kAreaPoints) break;
    }
    return kPi * reach_mm * reach_mm / kAreaPoints;
  }

  /// Each point's area to the sample nearest to it.
  void add_areas(const std::vector<std::uint8_t>& is_open, CorePoints& samples) const {
    const PointIndex index(samples.points_mm);
    for (std::size_t i = 0; i < is_open.size(); ++i) {
      if (is_open[i] == 0) continue;
      const auto at = static_cast<Index>(i);
      for (const Neighbour& n : index.within(own_.points_mm.col(at), how_.cylinder_mm)) {
        if (!is_alike(samples.normals.col(n.index), own_.normals.col(at))) continue;
        samples.area_mm2[n.index] += area_of_point(at);
        break;
      }
    }
  }

  const Cloud& own_;
  const Cloud& other_;
  const M3c2Settings& how_;
  PointSpacing own_spacing_, other_spacing_;
  double usual_mm_;
};

}  // namespace

double void_disc_mm(const M3c2Settings& how) {
  return how.cylinder_mm * std::sqrt(static_cast<double>(kVoidPoints) / kCylinderPoints);
}

PointSpacing::PointSpacing(const Cloud& cloud, const Matrix3Xd& places_mm, const M3c2Settings& how)
    : how_(how),
      normals_(3, places_mm.cols()),
      radii_mm_(static_cast<std::size_t>(places_mm.cols()), 0.0),
      index_(places_mm) {
  for_each_index(
      radii_mm_.size(),
      [&](std::size_t i) {
        const auto slot = static_cast<Index>(i);
        const int point = cloud.index.nearest(places_mm.col(slot), 1).front().index;
        const Vector3d normal = cloud.normals.col(point);
        normals_.col(slot) = normal;
        const auto near = cloud.index.nearest(cloud.points_mm.col(point), kLookedAt);
        int alike = 0;
        for (const Neighbour& n : near) {
          radii_mm_[i] = n.distance_mm;
          if (cosine_between(cloud.normals.col(n.index), normal, how.sides_known) >=
                  how.least_facing &&
              ++alike > kVoidPoints)
            break;
        }
      },
      64);
}

double PointSpacing::radius_mm(const Vector3d& at, const Vector3d& normal, double reach_mm) const {
  std::vector<double> radii;
  for (const Neighbour& n : index_.within(at, reach_mm))
    if (cosine_between(normals_.col(n.index), normal, how_.sides_known) >= how_.least_facing)
      radii.push_back(radii_mm_[static_cast<std::size_t>(n.index)]);
  return radii.size() < kFewestPlaces ? 0.0 : median_of(radii);
}

CorePoints voids_between(const Cloud& own, const Matrix3Xd& own_places_mm, const Cloud& other,
                         const Matrix3Xd& other_places_mm, const M3c2Settings& how) {
  return VoidFinder(own, own_places_mm, other, other_places_mm, how).find();
}

}  // namespace trammel
