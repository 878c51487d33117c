#include "trammel/compare/missing_features.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// So many must reach as far: fewer may be strays.
constexpr std::size_t kWitnessesOfReach = 3;
constexpr double kSameSide = 0.5;
constexpr double kSameWall = 0.8;
/// Less than this over an edge is noise.
constexpr double kLeastReach_mm = 0.05;
/// Where too little lies within `near_mm` of a place, so many times that is looked through.
constexpr double kUnseenReach = 2.0;
/// Of so many neighbours so many must lead about as far.
constexpr int kNeighboursAsked = 8;
constexpr int kNeighboursAgreeing = 5;
constexpr double kNeighbourReach = 2.0;  ///< and they lie so many times `near_mm` off at most
/// Places where a way sets out, within so many times `near_mm`, that are asked of the faces beside.
constexpr int kPlacesOnWay = 5;
constexpr double kAskedOfWay = 3.0;

/// Where a way through the design's material ends, and how long it is.
struct WayOut {
  double length_mm;
  SurfacePoint end;
};

/// A scanned point of that face lies about there.
bool was_seen(const ScannedSurface& scanned, const SurfaceIndex& design,
              const Deviations& deviations, const SurfacePoint& at) {
  const Vector3d face = design.face_normal(at.triangle);
  for (const Neighbour& other : scanned.index.within(at.foot_mm, scanned.near_mm)) {
    const auto i = static_cast<std::size_t>(other.index);
    if (deviations.reading[i] == Reading::Measured && scanned.sideways[i] == 0 &&
        scanned.normals.col(other.index).dot(face) > kSameSide) {
      return true;
    }
  }
  return false;
}

class MissingMaterial {
 public:
  MissingMaterial(const ScannedSurface& scanned, const SurfaceIndex& design,
                  const Deviations& deviations)
      : scanned_(scanned),
        design_(design),
        deviations_(deviations),
        longest_mm_(bounding_box(design.mesh().vertices_mm).diagonal_mm()),
        deep_(indices_where(deviations.reading.size(),
                            [&](std::size_t i) { return is_deep_floor(static_cast<Index>(i)); })),
        deep_feet_mm_(deviations.foot_mm(Eigen::all, deep_)),
        deep_feet_(deep_feet_mm_) {}

  /// Nothing where the point does not lie inside after all.
  [[nodiscard]] std::optional<WayOut> before(Index point) const {
    const Vector3d p = scanned_.points_mm.col(point), normal = scanned_.normals.col(point);
    std::optional<WayOut> out = way_out(p, normal, longest_mm_);
    if (out && runs_over_a_face_set_back(p, normal, out->length_mm)) return std::nullopt;
    if (!out) return out;
    const double next_mm = way_to_next_surface(p, normal, out->length_mm);
    const bool is_bounded =
        next_mm < out->length_mm || was_seen(scanned_, design_, deviations_, out->end);
    if (!is_bounded) return out;
    out->length_mm = next_mm;
    const double beside_mm = std::min(0.5 * out->length_mm, 2.0 * scanned_.near_mm);
    out->end = design_.nearest(p + beside_mm * normal);
    return out;
  }

 private:
  /// By steps as long as the material about is thick, so that none leaps over a wall.
  [[nodiscard]] std::optional<WayOut> way_out(const Vector3d& p, const Vector3d& normal,
                                              double longest_mm) const {
    const double least_step_mm = 0.2 * scanned_.near_mm;
    for (double way_mm = 0.0; way_mm < longest_mm;) {
      const Vector3d at = p + way_mm * normal;
      const SurfacePoint nearest = design_.nearest(at);
      const double depth_mm = -design_.signed_distance(at, nearest);
      if (depth_mm <= 0.0) {
        if (way_mm == 0.0) return std::nullopt;
        return WayOut{normal.dot(nearest.foot_mm - p), nearest};
      }
      way_mm += std::max(depth_mm, least_step_mm);
    }
    return std::nullopt;
  }

  /// It sets out between a face as it was drawn and the same face as it was scanned. Farther on a
  /// normal that leans leads it out of there.
  [[nodiscard]] bool runs_over_a_face_set_back(const Vector3d& p, const Vector3d& normal,
                                               double length_mm) const {
    const double asked_mm = std::min(length_mm, kAskedOfWay * scanned_.near_mm);
    int beside = 0, set_back = 0;
    for (int k = 0; k < kPlacesOnWay; ++k) {
      const Vector3d at = p + asked_mm * (k + 0.5) / kPlacesOnWay * normal;
      const SurfacePoint face = design_.nearest(at);
      const Vector3d up = design_.face_normal(face.triangle);
      if (std::abs(up.dot(normal)) > kSameSide) continue;
      ++beside;
      if (was_seen_below(p, face, up)) ++set_back;
    }
    return 2 * set_back > beside;
  }

  /// That face was scanned as deep as the point lies under it, or deeper, noise aside.
  [[nodiscard]] bool was_seen_below(const Vector3d& p, const SurfacePoint& face,
                                    const Vector3d& up) const {
    const double depth_mm = up.dot(face.foot_mm - p);
    if (depth_mm <= 0.0) return false;
    std::vector<double> readings;
    for (const Neighbour& other :
         scanned_.index.within(face.foot_mm - depth_mm * up, 2.0 * scanned_.near_mm)) {
      const auto i = static_cast<std::size_t>(other.index);
      if (deviations_.reading[i] != Reading::Measured || scanned_.sideways[i] != 0) continue;
      const bool same_place =
          (deviations_.foot_mm.col(other.index) - face.foot_mm).norm() < scanned_.near_mm;
      if (same_place && scanned_.normals.col(other.index).dot(up) > kSameWall)
        readings.push_back(deviations_.signed_mm[other.index]);
    }
    const bool seen_as_deep =
        readings.size() >= kWitnessesOfReach && median_of(readings) < kLeastReach_mm - depth_mm;
    return seen_as_deep || has_deep_floor(depth_mm, face, up);
  }

  /// A floor so far below its face that no wall point between the two has it near by.
  [[nodiscard]] bool is_deep_floor(Index point) const {
    const auto i = static_cast<std::size_t>(point);
    return deviations_.reading[i] == Reading::Measured && scanned_.sideways[i] == 0 &&
           deviations_.signed_mm[point] < -scanned_.near_mm;
  }

  [[nodiscard]] bool has_deep_floor(double depth_mm, const SurfacePoint& face,
                                    const Vector3d& up) const {
    std::size_t deeper = 0;
    for (const Neighbour& other : deep_feet_.within(face.foot_mm, scanned_.near_mm)) {
      const Index point = deep_[static_cast<std::size_t>(other.index)];
      if (scanned_.normals.col(point).dot(up) > kSameWall &&
          deviations_.signed_mm[point] < kLeastReach_mm - depth_mm)
        ++deeper;
    }
    return deeper >= kWitnessesOfReach;
  }

  /// To the first scanned surface that looks back.
  [[nodiscard]] double way_to_next_surface(const Vector3d& p, const Vector3d& normal,
                                           double longest_mm) const {
    for (double way_mm = scanned_.near_mm; way_mm < longest_mm; way_mm += scanned_.near_mm) {
      for (const Neighbour& other :
           scanned_.index.within(p + way_mm * normal, 0.8 * scanned_.near_mm)) {
        if (scanned_.normals.col(other.index).dot(normal) < -kSameSide) return way_mm;
      }
    }
    return longest_mm;
  }

  const ScannedSurface& scanned_;
  const SurfaceIndex& design_;
  const Deviations& deviations_;
  double longest_mm_;
  std::vector<Index> deep_;        ///< points of floors deep below the face they belong to
  Eigen::Matrix3Xd deep_feet_mm_;  ///< their feet on it
  PointIndex deep_feet_;
};

/// Points inside the material, and those level with a face beyond its edge that lie inside as well.
std::vector<Index> points_inside(const ScannedSurface& scanned, const Deviations& deviations) {
  return indices_where(deviations.reading.size(), [&](std::size_t k) {
    const bool level_inside = deviations.reading[k] == Reading::Measured &&
                              scanned.sideways[k] != 0 &&
                              deviations.signed_mm[static_cast<Index>(k)] < 0.0;
    return deviations.reading[k] == Reading::Inside || level_inside;
  });
}

/// A missing piece leaves a patch of points that all lead as far; a normal gone wrong is alone.
/// Only points inside are asked: of the narrow wall of a hole in thin sheet most neighbours lie on
/// the faces.
class Agreement {
 public:
  Agreement(const ScannedSurface& scanned, const std::vector<Index>& inside,
            const std::vector<std::optional<WayOut>>& ways)
      : ways_(ways),
        reach_mm_(kNeighbourReach * scanned.near_mm),
        places_mm_(places(scanned.points_mm, inside)),
        index_(places_mm_) {}

  [[nodiscard]] bool of(std::size_t k) const {
    const double own_mm = ways_[k]->length_mm;
    int agreeing = 0;
    for (const Neighbour& other :
         index_.nearest(places_mm_.col(static_cast<Index>(k)), kNeighboursAsked + 1)) {
      const auto i = static_cast<std::size_t>(other.index);
      if (i == k || !ways_[i] || other.distance_mm > reach_mm_) continue;
      if (std::abs(ways_[i]->length_mm - own_mm) < 0.5 * own_mm) ++agreeing;
    }
    return agreeing >= kNeighboursAgreeing;
  }

 private:
  static Eigen::Matrix3Xd places(const Eigen::Matrix3Xd& points_mm,
                                 const std::vector<Index>& inside) {
    Eigen::Matrix3Xd out(3, static_cast<Index>(inside.size()));
    for (std::size_t k = 0; k < inside.size(); ++k)
      out.col(static_cast<Index>(k)) = points_mm.col(inside[k]);
    return out;
  }

  const std::vector<std::optional<WayOut>>& ways_;
  double reach_mm_;
  Eigen::Matrix3Xd places_mm_;
  PointIndex index_;
};

/// A wall that a face reaches over.
struct Covered {
  Index point;
  SurfacePoint wall;
  double reach_mm;
  double own_mm;  ///< the wall's own reading there, 0 where it was not seen
};

/// The wall at the edge that the point lies beyond: it looks the point's way.
std::optional<SurfacePoint> wall_beside(const Vector3d& p, const Vector3d& foot,
                                        const SurfaceIndex& design, double distance_mm,
                                        double level_mm) {
  const Vector3d outwards = (p - foot).normalized();
  const SurfacePoint wall = design.nearest_facing(p, outwards, kSameSide, distance_mm + level_mm);
  return wall.found() ? std::optional<SurfacePoint>(wall) : std::nullopt;
}

class CoveredWalls {
 public:
  CoveredWalls(const ScannedSurface& scanned, const SurfaceIndex& design, double level_mm,
               const Deviations& deviations)
      : scanned_(scanned),
        design_(design),
        level_mm_(level_mm),
        deviations_(deviations),
        proud_(indices_where(deviations.reading.size(),
                             [&](std::size_t i) { return is_proud(static_cast<Index>(i)); })),
        proud_feet_mm_(deviations.foot_mm(Eigen::all, proud_)),
        proud_feet_(proud_feet_mm_) {}

  /// Measured beyond the edge of a face rather than above it.
  [[nodiscard]] bool reaches_over(Index point) const {
    const double reading_mm = deviations_.signed_mm[point];
    const auto k = static_cast<std::size_t>(point);
    if (deviations_.reading[k] != Reading::Measured || !(reading_mm > kLeastReach_mm)) return false;
    if (scanned_.sideways[k] != 0) return reading_mm > level_mm_;
    const Vector3d off = scanned_.points_mm.col(point) - deviations_.foot_mm.col(point);
    const double height_mm = scanned_.normals.col(point).dot(off);
    return off.squaredNorm() > 2.0 * height_mm * height_mm;
  }

  /// The wall that a point which reaches over covers, or nothing.
  [[nodiscard]] std::optional<Covered> by(Index point) const {
    const double reach_mm = deviations_.signed_mm[point];
    const auto wall = wall_beside(scanned_.points_mm.col(point), deviations_.foot_mm.col(point),
                                  design_, reach_mm, level_mm_);
    if (!wall) return std::nullopt;
    const double own_mm = own_reading_mm(point, *wall);
    // What reaches over no farther than a face may be off its level counts beside a proud wall
    // only.
    if (reach_mm <= level_mm_ && own_mm <= level_mm_) return std::nullopt;
    return Covered{point, *wall, reach_mm, own_mm};
  }

 private:
  /// Read from above a face that lies higher than drawn.
  [[nodiscard]] bool is_proud(Index point) const {
    const auto i = static_cast<std::size_t>(point);
    return deviations_.reading[i] == Reading::Measured && scanned_.sideways[i] == 0 &&
           deviations_.signed_mm[point] > kLeastReach_mm;
  }

  /// Median of what was read from points of the wall itself over the place that is covered, however
  /// high it stands: the sides of a proud wall tell no height but their own, from its edge upwards.
  /// Of a narrow wall too few may lie as near as neighbours do.
  [[nodiscard]] double own_reading_mm(Index point, const SurfacePoint& wall) const {
    std::vector<double> readings = own_readings_mm(point, wall, scanned_.near_mm);
    if (readings.size() < kWitnessesOfReach)
      readings = own_readings_mm(point, wall, kUnseenReach * scanned_.near_mm);
    return readings.size() < kWitnessesOfReach ? 0.0 : median_of(readings);
  }

  [[nodiscard]] std::vector<double> own_readings_mm(Index point, const SurfacePoint& wall,
                                                    double within_mm) const {
    const Vector3d face = design_.face_normal(wall.triangle);
    std::vector<double> readings;
    for (const Neighbour& foot : proud_feet_.within(wall.foot_mm, within_mm)) {
      const Index other = proud_[static_cast<std::size_t>(foot.index)];
      if (other != point && scanned_.normals.col(other).dot(face) > kSameWall)
        readings.push_back(deviations_.signed_mm[other]);
    }
    return readings;
  }

  const ScannedSurface& scanned_;
  const SurfaceIndex& design_;
  double level_mm_;
  const Deviations& deviations_;
  std::vector<Index> proud_;
  Eigen::Matrix3Xd proud_feet_mm_;  ///< their feet
  PointIndex proud_feet_;
};

std::vector<Covered> covered_walls(const ScannedSurface& scanned, const SurfaceIndex& design,
                                   double level_mm, const Deviations& deviations) {
  const CoveredWalls walls(scanned, design, level_mm, deviations);
  const std::vector<Index> over =
      indices_where(static_cast<std::size_t>(scanned.points_mm.cols()),
                    [&](std::size_t i) { return walls.reaches_over(static_cast<Index>(i)); });
  std::vector<std::optional<Covered>> found(over.size());
  for_each_index(over.size(), [&](std::size_t k) { found[k] = walls.by(over[k]); });
  std::vector<Covered> out;
  for (const std::optional<Covered>& one : found)
    if (one) out.push_back(*one);
  return out;
}

/// `inferred` has its size by then: points are marked from many threads.
void mark_inferred(Deviations& deviations, Index point) {
  deviations.inferred[static_cast<std::size_t>(point)] = 1;
}

}  // namespace

void read_missing_material(const ScannedSurface& scanned, const SurfaceIndex& design,
                           Deviations& deviations) {
  const std::vector<Index> inside = points_inside(scanned, deviations);
  const MissingMaterial missing(scanned, design, deviations);
  std::vector<std::optional<WayOut>> ways(inside.size());
  for_each_index(inside.size(), [&](std::size_t k) { ways[k] = missing.before(inside[k]); });
  if (inside.empty()) return;
  deviations.inferred.resize(deviations.reading.size(), 0);
  const Agreement agreement(scanned, inside, ways);
  for (std::size_t k = 0; k < inside.size(); ++k) {
    if (!ways[k] || !agreement.of(k)) continue;
    deviations.reading[static_cast<std::size_t>(inside[k])] = Reading::Inside;
    deviations.signed_mm[inside[k]] = -ways[k]->length_mm;
    mark_inferred(deviations, inside[k]);
    deviations.triangle[inside[k]] = ways[k]->end.triangle;
    deviations.foot_mm.col(inside[k]) = ways[k]->end.foot_mm;
  }
}

void read_covered_walls(const ScannedSurface& scanned, const SurfaceIndex& design, double level_mm,
                        Deviations& deviations) {
  const std::vector<Covered> covered = covered_walls(scanned, design, level_mm, deviations);
  if (covered.empty()) return;
  deviations.inferred.resize(deviations.reading.size(), 0);
  Eigen::Matrix3Xd feet_mm(3, static_cast<Index>(covered.size()));
  for (std::size_t k = 0; k < covered.size(); ++k)
    feet_mm.col(static_cast<Index>(k)) = covered[k].wall.foot_mm;
  const PointIndex index(feet_mm);
  for_each_index(covered.size(), [&](std::size_t k) {
    // A wall that was seen tells of its own run; else all that covers it about there does.
    const double about_mm = (covered[k].own_mm > 0.0 ? 1.0 : kUnseenReach) * scanned.near_mm;
    std::vector<double> reaches;
    for (const Neighbour& other : index.within(feet_mm.col(static_cast<Index>(k)), about_mm)) {
      reaches.push_back(covered[static_cast<std::size_t>(other.index)].reach_mm);
    }
    std::sort(reaches.begin(), reaches.end(), std::greater<>());
    const std::size_t witness = std::min(kWitnessesOfReach, reaches.size()) - 1;
    const Index point = covered[k].point;
    deviations.signed_mm[point] = std::max(reaches[witness], covered[k].own_mm);
    mark_inferred(deviations, point);
    deviations.triangle[point] = covered[k].wall.triangle;
    deviations.foot_mm.col(point) = covered[k].wall.foot_mm;
  });
}

}  // namespace trammel
