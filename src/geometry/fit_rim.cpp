#include "trammel/geometry/fit_rim.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <utility>

#include "rim_edge.hpp"
#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr int kSectors = 12;  // of 30°
constexpr double kSector_rad = 2.0 * kPi / kSectors;
constexpr std::size_t kFewestPoints = 10;

struct Rim {
  Vector2d center = Vector2d::Zero();
  double radius = 0.0;
};

/// Of circles, each weighted by its likelihood.
struct CircleSpread {
  Vector3d mean;  ///< centre, radius
  Eigen::Matrix3d covariance;
  double radius_error = 0.0;  ///< half of what holds on either side of the mean, as two σ would
};

constexpr int kHalfLattice = 6;
using LatticeLine = std::array<double, 2 * kHalfLattice + 1>;

/// Where a share of the weight lies below, in steps from the middle; a weight is spread evenly over
/// its step.
double lattice_quantile(const LatticeLine& weights, double share) {
  double left = share * std::accumulate(weights.begin(), weights.end(), 0.0);
  for (std::size_t k = 0; k < weights.size(); ++k) {
    if (left <= weights[k]) return static_cast<double>(k) - kHalfLattice - 0.5 + left / weights[k];
    left -= weights[k];
  }
  return kHalfLattice + 0.5;
}

/// No point may lie inside the circle but the face may well begin farther in than its points do:
/// the circles reach farther to the narrow side than to the wide one. Twice this error holds on
/// both.
double error_with_tails(const LatticeLine& weights, double mean, double sigma) {
  const double narrow = mean - lattice_quantile(weights, kBeyondTwoSigma);
  const double wide = lattice_quantile(weights, 1.0 - kBeyondTwoSigma) - mean;
  return std::max({sigma, 0.5 * narrow, 0.5 * wide});
}

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
  [[nodiscard]] CircleSpread spread_about(const Rim& likeliest) const {
    const double gap = 1.0 / (density_ * 2.0 * kPi * likeliest.radius * seen_share());
    const Eigen::Matrix3d information = slope_and_information(likeliest).second;
    const Vector3d fisher = information.inverse().diagonal().cwiseMax(0.0).cwiseSqrt();
    const Vector3d reach = 8.0 * fisher.cwiseMax(gap).cwiseMin(0.05 * expected_radius_);
    const double most = likelihood(likeliest);
    CircleSpread spread = spread_within(as_vector(likeliest), reach, most);
    for (int round = 0; round < 2; ++round)
      spread = spread_within(spread.mean, 4.0 * spread.covariance.diagonal().cwiseSqrt(), most);
    return spread;
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
          density_ * kPi * radius * radius + static_cast<double>(inside) * std::log(kStrayShare);
      if (value > best.second) best = {radius, value};
    }
    return best;
  }

  static Vector3d as_vector(const Rim& rim) { return {rim.center.x(), rim.center.y(), rim.radius}; }

  /// Of a lattice of circles `reach` about the middle to every side.
  [[nodiscard]] CircleSpread spread_within(const Vector3d& middle, const Vector3d& reach,
                                           double most) const {
    const Rim around{middle.head<2>(), middle.z()};
    const std::vector<Vector2d> near = points_that_matter(around, reach.norm());
    double total = 0.0;
    Vector3d mean = Vector3d::Zero();
    Eigen::Matrix3d squares = Eigen::Matrix3d::Zero();
    LatticeLine of_radius{};
    for (int i = -kHalfLattice; i <= kHalfLattice; ++i) {
      for (int j = -kHalfLattice; j <= kHalfLattice; ++j) {
        for (int k = -kHalfLattice; k <= kHalfLattice; ++k) {
          const Vector3d step = Vector3d(i, j, k).cwiseProduct(reach) / kHalfLattice;
          const double weight = std::exp(likelihood(moved(around, step), near) - most);
          total += weight;
          mean += weight * step;
          squares += weight * step * step.transpose();
          of_radius[static_cast<std::size_t>(k + kHalfLattice)] += weight;
        }
      }
    }
    mean /= total;
    CircleSpread out{middle + mean, squares / total - mean * mean.transpose()};
    const double a_step = reach.z() / kHalfLattice, sigma = std::sqrt(out.covariance(2, 2));
    out.radius_error = a_step * error_with_tails(of_radius, mean.z() / a_step, sigma / a_step);
    return out;
  }

  /// All others look the same from every circle within reach: far outside, or too far inside.
  [[nodiscard]] std::vector<Vector2d> points_that_matter(const Rim& rim, double reach) const {
    std::vector<Vector2d> near;
    for (const Vector2d& p : points_) {
      const double beyond = (p - rim.center).norm() - rim.radius;
      if (beyond < 2.0 * reach + kEdgeReach * blur_ && seen_[sector_of(rim, p)]) near.push_back(p);
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

  [[nodiscard]] double likelihood(const Rim& rim) const { return likelihood(rim, points_); }

  [[nodiscard]] double likelihood(const Rim& rim, const std::vector<Vector2d>& points) const {
    double sum = density_ * seen_share() * kPi * rim.radius * rim.radius;
    for (const Vector2d& p : points) {
      const double u = ((p - rim.center).norm() - rim.radius) / blur_;
      if (u < kEdgeReach && seen_[sector_of(rim, p)]) sum += log_part_of_face(u);
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
      const double rate = (1.0 - kStrayShare) * std::exp(-0.5 * u * u) / std::sqrt(2.0 * kPi) /
                          part_of_face(u) / blur_;
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
  const CircleSpread circles = fit.spread_about(rim);
  out.center_mm = circles.mean.head<2>();
  out.radius_mm = circles.mean.z();
  const double smear_error = kSmearError * smear_mm;
  const double center_variance = std::max(circles.covariance(0, 0), circles.covariance(1, 1));
  out.center_error_mm = std::hypot(std::sqrt(center_variance), smear_error);
  out.radius_error_mm = std::hypot(circles.radius_error, smear_error);
  out.points = fit.points_near(rim);
  return out;
}

}  // namespace trammel
