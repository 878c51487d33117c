#include "trammel/judge/least_worst.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstddef>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kSharpest = 1e6;    // β at the end, 1/mm
constexpr int kMostSteps = 1000;     // for each β
constexpr double kRounding = 1e-13;  // of the heights compared
constexpr double kLeastDamping = 1e-12, kMostDamping = 1e12;

/// The smoothed worst and its derivatives by (shift x, shift y, turn · arm), all in mm.
struct Worst {
  double value = 0.0;
  Vector3d slope = Vector3d::Zero();
  Matrix3d bend = Matrix3d::Zero();
};

class Problem {
 public:
  Problem(const std::vector<WantedPlace>& places, const Vector2d& middle_mm)
      : places_(places), middle_(middle_mm) {
    for (const WantedPlace& place : places) {
      arm_ = std::max(arm_, (place.from_mm - middle_).norm());
      reach_ = std::max(reach_, (place.from_mm - place.to_mm).norm());
    }
    if (!(arm_ > 0.0)) arm_ = 1.0;
  }

  [[nodiscard]] double arm_mm() const { return arm_; }
  [[nodiscard]] double reach_mm() const { return reach_; }

  [[nodiscard]] Worst at(const Vector3d& x, double sharp) const {
    std::vector<Worst> each;
    double most = -HUGE_VAL;
    for (const WantedPlace& place : places_) {
      each.push_back(cost_of(place, x, sharp));
      most = std::max(most, each.back().value);
    }
    Worst out;
    double sum = 0.0;
    Matrix3d spread = Matrix3d::Zero();
    for (const Worst& one : each) {
      const double share = std::exp(sharp * (one.value - most));
      sum += share;
      out.slope += share * one.slope;
      out.bend += share * one.bend;
      spread += share * one.slope * one.slope.transpose();
    }
    out.value = most + std::log(sum) / sharp;
    out.slope /= sum;
    out.bend /= sum;
    out.bend += sharp * (spread / sum - out.slope * out.slope.transpose());
    return out;
  }

 private:
  [[nodiscard]] Worst cost_of(const WantedPlace& place, const Vector3d& x, double sharp) const {
    const Vector2d arm = Eigen::Rotation2Dd(x[2] / arm_) * (place.from_mm - middle_);
    const Vector2d gap = place.to_mm - (arm + middle_ + x.head<2>());
    Eigen::Matrix<double, 2, 3> by;
    by << -1.0, 0.0, arm.y() / arm_, 0.0, -1.0, -arm.x() / arm_;
    const double rounded = 1.0 / sharp, distance = std::sqrt(gap.squaredNorm() + rounded * rounded);
    Worst out;
    out.value = place.weight * (distance - place.slack_mm);
    const Vector3d slope = by.transpose() * gap / distance;
    Matrix3d bend = by.transpose() * by;
    bend(2, 2) += gap.dot(arm) / (arm_ * arm_);
    out.slope = place.weight * slope;
    out.bend = place.weight / distance * (bend - slope * slope.transpose());
    return out;
  }

  const std::vector<WantedPlace>& places_;
  Vector2d middle_;
  double arm_ = 0.0, reach_ = 0.0;
};

/// Where rounding hides the difference in height, the slope tells.
bool is_lower(const Worst& there, const Worst& here, bool turns) {
  const double rounding = kRounding * std::max(1.0, std::abs(here.value));
  if (there.value < here.value - rounding) return true;
  const Index free = turns ? 3 : 2;
  return there.value <= here.value + rounding &&
         there.slope.head(free).norm() < 0.5 * here.slope.head(free).norm();
}

/// Damped Newton steps from `x` down the problem as smoothed by `sharp`.
/// @param turns  false: the turn stays as it is
Vector3d brought_down(const Problem& problem, Vector3d x, double sharp, bool turns) {
  Worst here = problem.at(x, sharp);
  double damping = kLeastDamping;
  for (int step = 0; step < kMostSteps; ++step) {
    if (!turns) {
      here.slope[2] = 0.0;
      here.bend.row(2).setZero();
      here.bend.col(2).setZero();
    }
    const double size = here.bend.diagonal().cwiseAbs().maxCoeff() + 1e-30;
    const Matrix3d damped = here.bend + damping * size * Matrix3d(Matrix3d::Identity());
    const Vector3d move = -damped.ldlt().solve(here.slope);
    const Worst there = problem.at(x + move, sharp);
    if (!move.allFinite() || !is_lower(there, here, turns)) {
      damping *= 10.0;
      if (damping > kMostDamping) break;
      continue;
    }
    x += move;
    here = there;
    damping = std::max(kLeastDamping, 0.01 * damping);
  }
  return x;
}

Vector3d least(const Problem& problem, Vector3d x, bool turns) {
  double sharp = 1.0 / std::max(problem.reach_mm(), 1e-3);
  for (; sharp < kSharpest; sharp *= 10.0)
    x = brought_down(problem, x, sharp, turns);
  return brought_down(problem, x, kSharpest, turns);
}

Vector2d middle_of(const std::vector<WantedPlace>& places) {
  Vector2d middle = Vector2d::Zero();
  for (const WantedPlace& place : places)
    middle += place.from_mm / static_cast<double>(places.size());
  return middle;
}

}  // namespace

Vector2d PlaneMotion::moved(const Vector2d& point_mm) const {
  return Eigen::Rotation2Dd(turn_rad) * (point_mm - about_mm) + about_mm + shift_mm;
}

PlaneMotion least_worst_motion(const std::vector<WantedPlace>& places, double most_turn_rad) {
  TRAMMEL_CHECK(!places.empty(), "no place to move to");
  const Vector2d middle = middle_of(places);
  const Problem problem(places, middle);
  const double most = most_turn_rad * problem.arm_mm();
  Vector3d x = least(problem, Vector3d::Zero(), true);
  if (!(std::abs(x[2]) <= most)) {
    x = least(problem, Vector3d(0.0, 0.0, x[2] < 0.0 ? -most : most), false);
  }
  return {middle, x.head<2>(), x[2] / problem.arm_mm()};
}

}  // namespace trammel
