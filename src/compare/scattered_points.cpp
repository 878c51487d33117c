#include "trammel/compare/scattered_points.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Level: normals less than 60° apart, and the way from one to the other no steeper than 17° to
/// their middle. The chord of a round is at right angles to it, however far it turns.
constexpr double kLooksAlikeToo = 0.5, kLevelSlope = 0.3;
constexpr double kNoise = 3.0;  // sigmas of the step between two points
/// Two of the nearest level with it, no farther off than so many spacings: nothing more is asked.
constexpr int kClosest = 8, kLevelOnes = 2;
constexpr double kCloseSpacings = 2.5;
/// Of so many that look alike, among the nearest, half are level with any point of a surface.
constexpr int kAskedAlike = 8, kAskedOf = 32;
/// Where chance is weighed, at most so many neighbours are looked through.
constexpr int kWeighed = 400;
constexpr double kByChance = 0.01, kHopeless = 50.0;
/// What survived by chance among strays has scattered neighbours: it is asked again without them.
constexpr int kTimesAsked = 2;
constexpr std::size_t kRoughnessPoints = 4000;
/// So many points tell whether there are strays to speak of. Fewer of them than this in a mm³ make
/// no surface: a reading cell reaches through some 25 mm³, and three must fall into one.
constexpr std::size_t kAskedFirst = 20'000;
constexpr double kHarmlessPerMm3 = 1e-3;

/// That a Poisson variable of this mean is `least` or more. Asked millions of times: with the
/// logarithms of base/poisson.hpp a check among a million strays took 82 s of processor, 57
/// without.
double chance_of(int least, double mean) {
  double term = std::exp(-mean), below = 0.0;
  for (int k = 0; k < least; ++k) {
    below += term;
    term *= mean / (k + 1);
  }
  return std::max(0.0, 1.0 - below);
}

class ScatterSearch {
 public:
  ScatterSearch(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                const PointIndex& index)
      : points_(points_mm),
        normals_(normals),
        index_(index),
        close_mm_(kCloseSpacings * median_spacing_mm(points_mm, index)),
        noise_mm_(kNoise * roughness_mm()) {}

  /// Two points close by are level with it.
  [[nodiscard]] bool has_company(Index point) const {
    int level = 0;
    for (const Neighbour& other : index_.nearest(points_.col(point), kClosest + 1, close_mm_))
      level += is_level(point, other) ? 1 : 0;
    return level >= kLevelOnes;
  }

  /// Less than half of its nearest are level with it.
  [[nodiscard]] bool stands_alone(Index point) const {
    int alike = 0, level = 0;
    for (const Neighbour& other : index_.nearest(points_.col(point), kAskedOf)) {
      if (alike == kAskedAlike) break;
      if (!looks_alike(point, other)) continue;
      ++alike;
      level += is_level(point, other) ? 1 : 0;
    }
    return 2 * level < std::max(1, alike);
  }

  /// So many strays per mm³ are likely to place as many level with it.
  [[nodiscard]] bool is_by_chance(Index point, double strays_per_mm3,
                                  const std::vector<std::uint8_t>& scattered) const {
    // The more neighbours are asked for, the dearer each: most points are settled by a few.
    double mean = 0.0;
    for (const int most : {kWeighed / 25, kWeighed / 5, kWeighed}) {
      const auto neighbours = index_.nearest(points_.col(point), most);
      const std::optional<bool> settled = settled_by(neighbours, point, strays_per_mm3, scattered);
      if (settled) return *settled;
      if (!neighbours.empty())
        mean = strays_per_mm3 * level_volume_mm3(neighbours.back().distance_mm);
    }
    return mean >= kByChance;
  }

 private:
  /// Whether those near are level with it by chance, or nothing where that takes more of them.
  [[nodiscard]] std::optional<bool> settled_by(const std::vector<Neighbour>& neighbours,
                                               Index point, double strays_per_mm3,
                                               const std::vector<std::uint8_t>& scattered) const {
    int level = 0;
    for (const Neighbour& other : neighbours) {
      const double mean = strays_per_mm3 * level_volume_mm3(other.distance_mm);
      if (mean > kHopeless) return true;
      if (scattered[static_cast<std::size_t>(other.index)] != 0 || !is_level(point, other))
        continue;
      if (chance_of(++level, mean) < kByChance) return false;
    }
    return std::nullopt;
  }

  [[nodiscard]] bool looks_alike(Index point, const Neighbour& other) const {
    return other.distance_mm > 0.0 && other.index != static_cast<int>(point) &&
           normals_.col(point).dot(normals_.col(other.index)) > kLooksAlikeToo;
  }

  /// Of a neighbour that looks alike.
  [[nodiscard]] double step_mm(Index point, const Neighbour& other) const {
    const Vector3d middle = (normals_.col(point) + normals_.col(other.index)).normalized();
    return std::abs(middle.dot(points_.col(other.index) - points_.col(point)));
  }

  [[nodiscard]] bool is_level(Index point, const Neighbour& other) const {
    return looks_alike(point, other) &&
           step_mm(point, other) <= std::max(noise_mm_, kLevelSlope * other.distance_mm);
  }

  /// Of a ball, what is level with its middle. All of it may look alike: normals that were
  /// estimated from strays are those of the face nearby.
  [[nodiscard]] double level_volume_mm3(double radius_mm) const {
    const double steep_mm3 = kLevelSlope * 4.0 / 3.0 * kPi * std::pow(radius_mm, 3);
    return steep_mm3 + 2.0 * noise_mm_ * kPi * radius_mm * radius_mm;
  }

  /// Robust sigma of the step to the nearest point that looks alike; of a scan most of which is
  /// surface, its noise.
  [[nodiscard]] double roughness_mm() const {
    const auto count = static_cast<std::size_t>(points_.cols());
    const std::size_t stride = std::max<std::size_t>(1, count / kRoughnessPoints);
    std::vector<double> steps((count + stride - 1) / stride, -1.0);
    for_each_index(steps.size(), [&](std::size_t k) {
      const auto point = static_cast<Index>(k * stride);
      for (const Neighbour& other : index_.nearest(points_.col(point), kClosest, close_mm_)) {
        if (!looks_alike(point, other)) continue;
        steps[k] = step_mm(point, other);
        return;
      }
    });
    steps.erase(std::remove(steps.begin(), steps.end(), -1.0), steps.end());
    return steps.empty() ? 0.0 : 1.4826 * median_of(steps);
  }

  const Eigen::Matrix3Xd& points_;
  const Eigen::Matrix3Xd& normals_;
  const PointIndex& index_;
  double close_mm_, noise_mm_ = 0.0;
};

}  // namespace

std::vector<std::uint8_t> scattered_points(const Eigen::Matrix3Xd& points_mm,
                                           const Eigen::Matrix3Xd& normals, const PointIndex& index,
                                           const Box& box) {
  const auto count = static_cast<std::size_t>(points_mm.cols());
  const ScatterSearch search(points_mm, normals, index);
  const auto is_in_box = [&](std::size_t i) {
    const auto p = points_mm.col(static_cast<Index>(i)).array();
    return (p >= box.low_mm.array()).all() && (p <= box.high_mm.array()).all();
  };
  const std::size_t stride = std::max<std::size_t>(1, count / kAskedFirst);
  const auto lone = indices_where((count + stride - 1) / stride, [&](std::size_t k) {
    const auto i = static_cast<Index>(k * stride);
    return is_in_box(k * stride) && !search.has_company(i) && search.stands_alone(i);
  });
  const double volume_mm3 = (box.high_mm - box.low_mm).prod();
  if (static_cast<double>(lone.size() * stride) <= kHarmlessPerMm3 * volume_mm3)
    return std::vector<std::uint8_t>(count, 0);
  const std::vector<Index> few = indices_where(count, [&](std::size_t i) {
    return is_in_box(i) && !search.has_company(static_cast<Index>(i));
  });
  std::vector<std::uint8_t> alone(few.size(), 0), out(count, 0);
  for_each_index(few.size(),
                 [&](std::size_t k) { alone[k] = search.stands_alone(few[k]) ? 1 : 0; });
  const auto strays = static_cast<double>(std::count(alone.begin(), alone.end(), 1));
  const double strays_per_mm3 = strays / volume_mm3;
  for (int time = 0; time < kTimesAsked; ++time) {
    std::vector<std::uint8_t> next = out;
    for_each_index(few.size(), [&](std::size_t k) {
      const auto i = static_cast<std::size_t>(few[k]);
      if (out[i] == 0 && search.is_by_chance(few[k], strays_per_mm3, out)) next[i] = 1;
    });
    out = std::move(next);
  }
  return out;
}

}  // namespace trammel
