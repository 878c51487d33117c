#include "trammel/compare/settle_readings.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kWitnesses = 8;
/// Among so many nearest points are those that look the same way.
constexpr int kLookedThrough = 4 * kWitnesses;
constexpr double kSameWay = 0.5;
/// A neighbour shares a reading that reads so much of it: from the middle of a dent to the next
/// point it may be steep.
constexpr double kShared = 0.25;
constexpr double kAnyDistance = std::numeric_limits<double>::infinity();

bool carries_distance(Reading reading) {
  return reading == Reading::Measured || reading == Reading::Inside;
}

/// Robust sigma of all readings about zero: of a good part, its noise.
double usual_reading_mm(const Deviations& deviations) {
  const std::vector<Index> read = indices_where(deviations.reading.size(), [&](std::size_t i) {
    return !std::isnan(deviations.signed_mm[static_cast<Index>(i)]);
  });
  std::vector<double> sizes(read.size());
  for_each_index(sizes.size(),
                 [&](std::size_t k) { sizes[k] = std::abs(deviations.signed_mm[read[k]]); });
  return sizes.empty() ? 0.0 : 1.4826 * median_of(sizes);
}

class Settler {
 public:
  Settler(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
          const PointIndex& index, const SurfaceIndex& design, const ReadingDoubts& doubts,
          const Deviations& deviations, const SettleSettings& settings)
      : points_(points_mm),
        normals_(normals),
        design_(design),
        doubts_(doubts),
        deviations_(deviations),
        settings_(settings),
        doubtful_mm_(std::max(settings.doubtful_mm, 4.0 * usual_reading_mm(deviations))),
        index_(index),
        near_mm_(std::max(1.0, 2.5 * median_spacing_mm(points_mm, index_))) {}

  [[nodiscard]] Reading settled(std::size_t i) const {
    const Reading reading = deviations_.reading[i];
    if (!carries_distance(reading)) return reading;
    const auto point = static_cast<Index>(i);
    if (doubts_.sideways[i] != 0 && !face_was_seen(point)) return Reading::Beside;
    const double doubtful_mm = may_be_of_nearer(point) ? settings_.doubtful_mm : doubtful_mm_;
    if (std::abs(deviations_.signed_mm[point]) > doubtful_mm && !neighbours_agree(point)) {
      return Reading::Stray;
    }
    return reading;
  }

 private:
  /// A scanned point of the face itself, behind the edge that the point lies beyond. Not right
  /// behind it: under a part that shrank, the bench reaches a little way in.
  [[nodiscard]] bool face_was_seen(Index point) const {
    const Vector3d foot = deviations_.foot_mm.col(point);
    const Vector3d face = face_of(point);
    Vector3d outwards = points_.col(point) - foot;
    outwards -= face.dot(outwards) * face;
    if (outwards.norm() <= near_mm_) return true;
    const Vector3d behind = foot - 3.0 * near_mm_ * outwards.normalized();
    for (const Neighbour& other : index_.within(behind, near_mm_)) {
      const auto i = static_cast<std::size_t>(other.index);
      if (deviations_.reading[i] == Reading::Measured && doubts_.sideways[i] == 0 &&
          normals_.col(other.index).dot(face) > kSameWay) {
        return true;
      }
    }
    return false;
  }

  /// As likely of the nearer face that its normal overruled: that face lies there, or what was read
  /// from it close by stands as high.
  [[nodiscard]] bool may_be_of_nearer(Index point) const {
    const double nearer_mm = doubts_.nearer_mm[static_cast<std::size_t>(point)];
    if (std::isnan(nearer_mm)) return false;
    if (std::abs(nearer_mm) <= doubtful_mm_) return true;
    const Vector3d face = face_of(point);
    int level = 0;
    for (const Neighbour& other : close_to(point)) {
      const bool of_another = face_of(other.index).dot(face) <= kSameWay;
      const double off = deviations_.signed_mm[other.index] - nearer_mm;
      if (of_another && std::abs(off) <= settings_.doubtful_mm) ++level;
    }
    return level >= settings_.agreeing;
  }

  [[nodiscard]] Vector3d face_of(Index point) const {
    return design_.face_normal(deviations_.triangle[point]);
  }

  /// Of the eight nearest points those within reach that carry a distance.
  [[nodiscard]] std::vector<Neighbour> close_to(Index point) const {
    std::vector<Neighbour> close = index_.nearest(points_.col(point), kWitnesses + 1, near_mm_);
    const auto is_no_witness = [&](const Neighbour& other) {
      return other.index == static_cast<int>(point) || !carries(other.index);
    };
    close.erase(std::remove_if(close.begin(), close.end(), is_no_witness), close.end());
    return close;
  }

  [[nodiscard]] bool neighbours_agree(Index point) const {
    return may_be_of_nearer(point) ? close_ones_agree(point) : face_agrees(point);
  }

  [[nodiscard]] bool carries(Index point) const {
    return carries_distance(deviations_.reading[static_cast<std::size_t>(point)]);
  }

  /// Of the face that the point was read from: beside a wall that stands proud, points of the wall
  /// agree with what was read from the floor by chance.
  [[nodiscard]] bool close_ones_agree(Index point) const {
    const double own = deviations_.signed_mm[point];
    const Vector3d face = face_of(point);
    int agreeing = 0;
    for (const Neighbour& other : close_to(point)) {
      if (face_of(other.index).dot(face) <= kSameWay) continue;
      if (std::abs(deviations_.signed_mm[other.index] - own) < 0.5 * std::abs(own)) ++agreeing;
    }
    return agreeing >= settings_.agreeing_past_nearer;
  }

  /// Narrow faces, such as a sheet's edges, hold a few points within this.
  [[nodiscard]] double beside_mm() const { return 2.0 * near_mm_; }

  /// Enough points of the face itself, at the place that the reading is of.
  [[nodiscard]] bool place_was_seen(Index point) const {
    const Vector3d face = face_of(point);
    int level = 0;
    for (const Neighbour& other : index_.within(deviations_.foot_mm.col(point), beside_mm())) {
      if (carries(other.index) && std::abs(deviations_.signed_mm[other.index]) <= doubtful_mm_ &&
          normals_.col(other.index).dot(face) > kSameWay)
        ++level;
    }
    return level > settings_.agreeing;
  }

  /// Asks what looks the same way: of thin sheet the other side is as near. Where the face lies in
  /// its place, what stands off it would be seen as densely; strays share by chance, from afar.
  [[nodiscard]] bool face_agrees(Index point) const {
    const double own = deviations_.signed_mm[point];
    const double reach_mm = place_was_seen(point) ? beside_mm() : kAnyDistance;
    int asked = 0, agreeing = 0;
    for (const Neighbour& other : index_.nearest(points_.col(point), kLookedThrough, reach_mm)) {
      if (asked == kWitnesses) break;
      if (other.index == static_cast<int>(point)) continue;
      if (normals_.col(other.index).dot(normals_.col(point)) <= kSameWay) continue;
      ++asked;
      if (carries(other.index) && deviations_.signed_mm[other.index] * own > kShared * own * own)
        ++agreeing;
    }
    return agreeing >= settings_.agreeing;
  }

  const Eigen::Matrix3Xd& points_;
  const Eigen::Matrix3Xd& normals_;
  const SurfaceIndex& design_;
  const ReadingDoubts& doubts_;
  const Deviations& deviations_;
  SettleSettings settings_;
  double doubtful_mm_;
  const PointIndex& index_;
  double near_mm_;
};

}  // namespace

void settle_readings(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                     const PointIndex& index, const SurfaceIndex& design,
                     const ReadingDoubts& doubts, Deviations& deviations,
                     const SettleSettings& settings) {
  const Settler settler(points_mm, normals, index, design, doubts, deviations, settings);
  std::vector<Reading> settled(deviations.reading.size());
  for_each_index(settled.size(), [&](std::size_t i) { settled[i] = settler.settled(i); });
  for_each_index(settled.size(), [&](std::size_t i) {
    if (settled[i] == deviations.reading[i]) return;
    deviations.signed_mm[static_cast<Index>(i)] = std::numeric_limits<double>::quiet_NaN();
  });
  deviations.reading = std::move(settled);
}

}  // namespace trammel
