#include "trammel/geometry/fit_rim.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr int kSectors = 12;  // of 30°
constexpr double kSector_rad = 2.0 * kPi / kSectors;
/// Share of points that belong to no face: each costs a circle no more than this allows.
constexpr double kStray = 0.001;
/// How far off the smear may be that is assumed along the rim, in standard deviations of itself: a
/// sharp rim taken for a smeared one comes out a third of the smear too wide.
constexpr double kSmearError = 0.34;

constexpr std::size_t kFewestPoints = 10;
/// A covered hole holds 1 of the points that its circle would.
constexpr double kMostFilled = 0.05;

struct Rim {
  Vector2d center = Vector2d::Zero();
  double radius = 0.0;
};

class RimFit {
 public:
  RimFit(const std::vector<Vector2d>& points, double blur, double expected_radius)
      : points_(points), expected_radius_(expected_radius), blur_(blur) {
    seen_.fill(true);
  }

  /// The likeliest of a grid of centres, each with the circles that end at one of the face's
  /// innermost points about it: beyond the first few the circle swallows more than it gains.
  [[nodiscard]] Rim coarse() {
    density_ = density_about({Vector2d::Zero(), expected_radius_});
    Rim best;
    double most = -HUGE_VAL;
    const double step = 0.1 * expected_radius_;
    const int steps = static_cast<int>(kRimOffset / 0.1);
    for (int i = -steps; i <= steps; ++i) {
      for (int j = -steps; j <= steps; ++j) {
        const Vector2d center(i * step, j * step);
        if (center.norm() > kRimOffset * expected_radius_) continue;
        const auto [radius, value] = best_about(center);
        if (value > most) {
          most = value;
          best = {center, radius};
        }
      }
    }
    return best;
  }

  /// Scoring with halved steps: never to a less likely circle.
  [[nodiscard]] Rim refined(Rim rim) {
    for (int round = 0; round < 60; ++round) {
      density_ = density_about(rim);
      const auto [slope, information] = slope_and_information(rim);
      Vector3d step = information.ldlt().solve(slope);
      if (!step.allFinite()) break;
      step *= std::min(1.0, 0.1 * expected_radius_ / step.norm());
      const double now = likelihood(rim);
      Rim next = moved(rim, step);
      while (likelihood(next) < now && step.norm() > 1e-7) {
        step *= 0.5;
        next = moved(rim, step);
      }
      if (step.norm() <= 1e-7) break;
      rim = next;
    }
    return rim;
  }

  /// Sectors in which the face begins farther off than chance allows show nothing of the rim.
  void look_for_unseen(const Rim& rim) {
    std::array<double, kSectors> nearest;
    nearest.fill(HUGE_VAL);
    for (const Vector2d& p : points_) {
      const double beyond = (p - rim.center).norm() - rim.radius;
      double& least = nearest[sector_of(rim, p)];
      if (beyond > -3.0 * blur_ && beyond < least) least = beyond;
    }
    const double by_chance = 5.0 / (density_ * rim.radius * kSector_rad) + 3.0 * blur_;
    for (std::size_t s = 0; s < nearest.size(); ++s)
      seen_[s] = nearest[s] <= by_chance;
  }

  [[nodiscard]] double seen_share() const {
    return static_cast<double>(std::count(seen_.begin(), seen_.end(), true)) / kSectors;
  }

  /// Mean and spread over all circles near `likeliest`, each weighted by its likelihood. The
  /// likeliest one itself touches the face's innermost points, so it is too wide by about three of
  /// the gaps that so many points leave along the rim.
  [[nodiscard]] std::pair<Vector3d, Eigen::Matrix3d> mean_and_spread(const Rim& likeliest) const {
    const double gap = 1.0 / (density_ * 2.0 * kPi * likeliest.radius * seen_share());
    const Eigen::Matrix3d information = slope_and_information(likeliest).second;
    const Vector3d fisher = information.inverse().diagonal().cwiseMax(0.0).cwiseSqrt();
    const Vector3d reach = 8.0 * fisher.cwiseMax(gap).cwiseMin(0.05 * expected_radius_);
    const double most = likelihood(likeliest);
    auto [mean, spread] = moments(as_vector(likeliest), reach, most);
    for (int round = 0; round < 2; ++round)
      std::tie(mean, spread) = moments(mean, 4.0 * spread.diagonal().cwiseSqrt(), most);
    return {mean, spread};
  }

  [[nodiscard]] int points_near(const Rim& rim) const {
    return static_cast<int>(std::count_if(points_.begin(), points_.end(), [&](const Vector2d& p) {
      const double d = (p - rim.center).norm();
      return d > rim.radius - 3.0 * blur_ && d < (1.0 + kRimLand) * rim.radius;
    }));
  }

  /// Points well inside the circle, as a share of those that a covered hole would hold.
  [[nodiscard]] double filled(const Rim& rim) const {
    const double within = rim.radius - 4.0 * blur_;
    const auto inside = std::count_if(points_.begin(), points_.end(), [&](const Vector2d& p) {
      return (p - rim.center).norm() < within;
    });
    return static_cast<double>(inside) / (density_ * kPi * within * within);
  }

 private:
  /// Radius and gain of the best sharp circle about a centre: area left empty, less the price of
  /// the points inside.
  [[nodiscard]] std::pair<double, double> best_about(const Vector2d& center) const {
    constexpr std::size_t kInnermost = 12;
    std::vector<double> distances;
    distances.reserve(points_.size());
    for (const Vector2d& p : points_)
      distances.push_back((p - center).norm());
    const std::size_t count = std::min(kInnermost, distances.size());
    std::partial_sort(distances.begin(), distances.begin() + static_cast<std::ptrdiff_t>(count),
                      distances.end());
    std::pair<double, double> best{kSmallestRim * expected_radius_, -HUGE_VAL};
    for (std::size_t inside = 0; inside < count; ++inside) {
      const double radius = std::clamp(distances[inside], kSmallestRim * expected_radius_,
                                       kWidestRim * expected_radius_);
      const double value =
          density_ * kPi * radius * radius + static_cast<double>(inside) * std::log(kStray);
      if (value > best.second) best = {radius, value};
    }
    return best;
  }

  static Vector3d as_vector(const Rim& rim) { return {rim.center.x(), rim.center.y(), rim.radius}; }

  /// Of a lattice of circles `reach` about the middle to every side.
  [[nodiscard]] std::pair<Vector3d, Eigen::Matrix3d> moments(const Vector3d& middle,
                                                             const Vector3d& reach,
                                                             double most) const {
    constexpr int kHalf = 6;
    const Rim around{middle.head<2>(), middle.z()};
    const std::vector<Vector2d> near = points_that_matter(around, reach.norm());
    double total = 0.0;
    Vector3d mean = Vector3d::Zero();
    Eigen::Matrix3d squares = Eigen::Matrix3d::Zero();
    for (int i = -kHalf; i <= kHalf; ++i) {
      for (int j = -kHalf; j <= kHalf; ++j) {
        for (int k = -kHalf; k <= kHalf; ++k) {
          const Vector3d step = Vector3d(i, j, k).cwiseProduct(reach) / kHalf;
          const double weight = std::exp(likelihood(moved(around, step), near) - most);
          total += weight;
          mean += weight * step;
          squares += weight * step * step.transpose();
        }
      }
    }
    mean /= total;
    return {middle + mean, squares / total - mean * mean.transpose()};
  }

  /// All others look the same from every circle within reach: far outside, or too far inside.
  [[nodiscard]] std::vector<Vector2d> points_that_matter(const Rim& rim, double reach) const {
    std::vector<Vector2d> near;
    for (const Vector2d& p : points_) {
      const double beyond = (p - rim.center).norm() - rim.radius;
      if (beyond < 2.0 * reach + 4.0 * blur_ && seen_[sector_of(rim, p)]) near.push_back(p);
    }
    return near;
  }

  static Rim moved(const Rim& rim, const Vector3d& step) {
    return {rim.center + step.head<2>(), rim.radius + step.z()};
  }

  [[nodiscard]] static std::size_t sector_of(const Rim& rim, const Vector2d& p) {
    const Vector2d arm = p - rim.center;
    const double turn = (std::atan2(arm.y(), arm.x()) + kPi) / kSector_rad;
    return static_cast<std::size_t>(std::clamp(turn, 0.0, kSectors - 1.0));
  }

  /// Points a square millimetre of the land, over the sectors seen.
  [[nodiscard]] double density_about(const Rim& rim) const {
    const double from = rim.radius + 2.0 * blur_, to = (1.0 + kRimLand) * rim.radius;
    Index count = 0;
    for (const Vector2d& p : points_) {
      const double d = (p - rim.center).norm();
      if (d > from && d < to && seen_[sector_of(rim, p)]) ++count;
    }
    const double area = seen_share() * kPi * (to * to - from * from);
    return std::max(static_cast<double>(count) / std::max(area, 1e-12), 1e-9);
  }

  /// Probability that a point so far outside the circle (in blurs) is one of the face.
  static double part_of_face(double u) {
    return kStray + (1.0 - kStray) * 0.5 * std::erfc(-u * std::sqrt(0.5));
  }

  [[nodiscard]] double likelihood(const Rim& rim) const { return likelihood(rim, points_); }

  [[nodiscard]] double likelihood(const Rim& rim, const std::vector<Vector2d>& points) const {
    double sum = density_ * seen_share() * kPi * rim.radius * rim.radius;
    for (const Vector2d& p : points) {
      const double u = ((p - rim.center).norm() - rim.radius) / blur_;
      if (u < 4.0 && seen_[sector_of(rim, p)]) sum += std::log(part_of_face(u));
    }
    return sum;
  }

  /// Of the log-likelihood by (centre, radius).
  [[nodiscard]] std::pair<Vector3d, Eigen::Matrix3d> slope_and_information(const Rim& rim) const {
    Vector3d slope = Vector3d::Zero();
    Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
    const double an_arc = density_ * rim.radius * kSector_rad;
    for (std::size_t s = 0; s < seen_.size(); ++s) {
      if (!seen_[s]) continue;
      const double angle = (static_cast<double>(s) + 0.5) * kSector_rad - kPi;
      const Vector3d outwards(std::cos(angle), std::sin(angle), 1.0);
      slope += an_arc * outwards;
      information += 1e-6 * an_arc * outwards * outwards.transpose();
    }
    for (const Vector2d& p : points_) {
      const Vector2d arm = p - rim.center;
      const double d = arm.norm(), u = (d - rim.radius) / blur_;
      if (u > 6.0 || u < -6.0 || d <= 0.0 || !seen_[sector_of(rim, p)]) continue;
      const double rate =
          (1.0 - kStray) * std::exp(-0.5 * u * u) / std::sqrt(2.0 * kPi) / part_of_face(u) / blur_;
      const Vector3d outwards(arm.x() / d, arm.y() / d, 1.0);
      slope -= rate * outwards;
      information += rate * rate * outwards * outwards.transpose();
    }
    return {slope, information};
  }

  const std::vector<Vector2d>& points_;
  double expected_radius_, blur_;
  double density_ = 0.0;
  std::array<bool, kSectors> seen_{};
};

bool at_the_bounds(const Rim& rim, double expected_radius) {
  return rim.center.norm() > kRimOffset * expected_radius ||
         rim.radius < 1.01 * kSmallestRim * expected_radius ||
         rim.radius > 0.99 * kWidestRim * expected_radius;
}

}  // namespace

FittedRim fit_rim(const std::vector<Vector2d>& points, double smear_mm, double expected_radius_mm) {
  if (points.size() < kFewestPoints) return {};
  RimFit fit(points, smear_mm, expected_radius_mm);
  Rim rim = fit.refined(fit.coarse());
  for (int round = 0; round < 3 && fit.seen_share() > 0.0; ++round) {
    fit.look_for_unseen(rim);
    rim = fit.refined(rim);
  }
  FittedRim out;
  out.seen_share = fit.seen_share();
  if (out.seen_share <= 0.0) return out;
  out.is_open = !at_the_bounds(rim, expected_radius_mm) && fit.filled(rim) <= kMostFilled;
  const auto [mean, spread] = fit.mean_and_spread(rim);
  out.center_mm = mean.head<2>();
  out.radius_mm = mean.z();
  const double smear_error = kSmearError * smear_mm;
  out.center_error_mm = std::hypot(std::sqrt(std::max(spread(0, 0), spread(1, 1))), smear_error);
  out.radius_error_mm = std::hypot(std::sqrt(spread(2, 2)), smear_error);
  out.points = fit.points_near(rim);
  return out;
}

}  // namespace trammel
