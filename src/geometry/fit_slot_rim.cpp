#include "trammel/geometry/fit_slot_rim.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "rim_edge.hpp"
#include "slot_stretches.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_rim.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Unknowns = SlotUnknowns;
using SlotSpread = Eigen::Matrix<double, 5, 5>;

constexpr int kSamplesAStretch = 6;
constexpr double kMostRimTurn_rad = 20.0 * kDegree;
constexpr std::size_t kFewestRimPoints = 15;
constexpr int kFirstWalk = 1500, kSecondWalk = 3000, kLastWalk = 12000;
constexpr double kLastReach = 6.0;  // of how far one standard deviation of every unknown shifts it

/// No place of the rim lies farther from the other slot's, mm.
double most_shift(const Unknowns& a, const Unknowns& b) {
  const Unknowns off = (a - b).cwiseAbs();
  return off.head<2>().norm() + off[kSlotRadius] + off[kSlotStraight] +
         off[kSlotTurn] * (a[kSlotRadius] + a[kSlotStraight]);
}

/// What the points say of slots whose rims lie within `reach_mm` of one slot's: others are out of
/// the question.
class Likelihood {
 public:
  Likelihood(const std::vector<Vector2d>& points, double smear_mm, const Unknowns& about,
             double reach_mm)
      : points_(points),
        smear_(smear_mm),
        about_(about),
        reach_(reach_mm),
        rim_(about),
        seen_(static_cast<std::size_t>(rim_.size()), true) {
    count_density();
    look_for_unseen();
    count_density();
    for (int s = 0; s < rim_.size(); ++s) {
      if (!seen_[static_cast<std::size_t>(s)]) continue;
      for (int k = 0; k < kSamplesAStretch; ++k) {
        samples_.push_back(rim_.place(s, (k + 0.5) / kSamplesAStretch));
        weight_.push_back(density_ * rim_.length_mm(s) / kSamplesAStretch);
        curvature_.push_back(rim_.is_of_end(s) ? 1.0 / rim_.distance().radius : 0.0);
      }
    }
    const double matters = reach_ + kEdgeReach * smear_;
    for (const Vector2d& p : points_)
      if (is_seen(p) && rim_.distance()(p) < matters) near_.push_back(p);
  }

  [[nodiscard]] double density() const { return density_; }

  /// Of the end or flat that was seen least.
  [[nodiscard]] double seen_share() const {
    std::array<double, 4> all{}, seen{};
    for (int s = 0; s < rim_.size(); ++s) {
      const auto part = static_cast<std::size_t>(rim_.part_of(s));
      all[part] += 1.0;
      seen[part] += seen_[static_cast<std::size_t>(s)] ? 1.0 : 0.0;
    }
    double least = 1.0;
    for (std::size_t part = 0; part < 4; ++part)
      least = std::min(least, seen[part] / all[part]);
    return least;
  }

  /// Area won against the slot it was made about, less the price of the points inside.
  [[nodiscard]] double operator()(const Unknowns& x) const {
    if (x[kSlotRadius] <= 0.0 || x[kSlotStraight] <= 0.0 || most_shift(about_, x) > reach_)
      return -std::numeric_limits<double>::infinity();
    const SlotDistance distance(x);
    double sum = 0.0;
    for (std::size_t i = 0; i < samples_.size(); ++i) {
      const double won = -distance(samples_[i]);
      sum += weight_[i] * won * (1.0 + 0.5 * curvature_[i] * won);
    }
    for (const Vector2d& p : near_) {
      const double u = distance(p) / smear_;
      if (u < kEdgeReach) sum += log_part_of_face(u);
    }
    return sum;
  }

  [[nodiscard]] int points_near() const {
    return static_cast<int>(std::count_if(points_.begin(), points_.end(), [&](const Vector2d& p) {
      const double d = rim_.distance()(p);
      return d > -3.0 * smear_ && d < kRimLand * rim_.distance().radius;
    }));
  }

  /// Points well inside, as a share of those that a face there would hold.
  [[nodiscard]] double filled() const {
    const double r = rim_.distance().radius - 4.0 * smear_;
    const double area = r * (kPi * r + 4.0 * rim_.distance().half_straight);
    const auto inside = std::count_if(points_.begin(), points_.end(), [&](const Vector2d& p) {
      return rim_.distance()(p) < -4.0 * smear_;
    });
    return static_cast<double>(inside) / (density_ * area);
  }

 private:
  [[nodiscard]] bool is_seen(const Vector2d& p) const {
    return seen_[static_cast<std::size_t>(rim_.stretch_of(p))];
  }

  /// Points a square millimetre of the land, over the stretches seen.
  void count_density() {
    const double r = rim_.distance().radius, from = 2.0 * smear_, to = kRimLand * r;
    double area = 0.0;
    for (int s = 0; s < rim_.size(); ++s) {
      if (!seen_[static_cast<std::size_t>(s)]) continue;
      const double widened = rim_.is_of_end(s) ? 1.0 + 0.5 * (from + to) / r : 1.0;
      area += rim_.length_mm(s) * (to - from) * widened;
    }
    Index count = 0;
    for (const Vector2d& p : points_) {
      const double d = rim_.distance()(p);
      if (d > from && d < to && is_seen(p)) ++count;
    }
    density_ = std::max(static_cast<double>(count) / std::max(area, 1e-12), 1e-9);
  }

  /// Stretches in which the face begins farther off than chance allows show nothing of the rim.
  void look_for_unseen() {
    std::vector<double> nearest(seen_.size(), std::numeric_limits<double>::infinity());
    for (const Vector2d& p : points_) {
      const double d = rim_.distance()(p);
      double& least = nearest[static_cast<std::size_t>(rim_.stretch_of(p))];
      if (d > -3.0 * smear_ && d < least) least = d;
    }
    for (int s = 0; s < rim_.size(); ++s) {
      const double by_chance = 5.0 / (density_ * rim_.length_mm(s)) + 3.0 * smear_;
      seen_[static_cast<std::size_t>(s)] = nearest[static_cast<std::size_t>(s)] <= by_chance;
    }
  }

  const std::vector<Vector2d>& points_;
  double smear_;
  Unknowns about_;
  double reach_;
  SlotStretches rim_;
  std::vector<bool> seen_;
  double density_ = 0.0;
  std::vector<Vector2d> samples_;  ///< of the rim where it was seen
  std::vector<double> weight_, curvature_;
  std::vector<Vector2d> near_;  ///< all others look the same from every slot within reach
};

/// The slot through the innermost point of each stretch, by least squares; from the second round on
/// points farther inside than the last slot allows are strays in the gap.
Unknowns through_innermost(const std::vector<Vector2d>& points, const Unknowns& expected) {
  Unknowns x = expected;
  double reach = std::numeric_limits<double>::infinity();
  for (int round = 0; round < 8; ++round) {
    const SlotStretches rim(x);
    std::vector<std::optional<std::pair<double, Vector2d>>> least(
        static_cast<std::size_t>(rim.size()));
    for (const Vector2d& p : points) {
      auto& innermost = least[static_cast<std::size_t>(rim.stretch_of(p))];
      const double d = rim.distance()(p);
      if (d < -reach) continue;  // a stray in the gap
      if (!innermost || d < innermost->first) innermost = {d, p};
    }
    std::vector<Vector3d> chosen;
    for (const auto& one : least)
      if (one && one->first < 0.7 * rim.distance().radius)
        chosen.emplace_back(one->second.x(), one->second.y(), 0.0);
    Eigen::Matrix3Xd places(3, static_cast<Index>(chosen.size()));
    for (std::size_t i = 0; i < chosen.size(); ++i)
      places.col(static_cast<Index>(i)) = chosen[i];
    SlotShape start;
    start.center_mm = {x[kSlotAlong], x[kSlotAcross], 0.0};
    start.along = {std::cos(x[kSlotTurn]), std::sin(x[kSlotTurn]), 0.0};
    start.radius_mm = x[kSlotRadius];
    start.half_straight_mm = x[kSlotStraight];
    const auto fit =
        fit_slot(places, Eigen::VectorXd::Ones(places.cols()), start, AxisChoice::Held);
    if (!fit) return x;
    x << fit->slot.center_mm.x(), fit->slot.center_mm.y(), fit->slot.radius_mm,
        fit->slot.half_straight_mm, std::atan2(fit->slot.along.y(), fit->slot.along.x());
    reach = std::max(0.3 * x[kSlotRadius] / (1 << round), 0.1 * x[kSlotRadius]);
  }
  return x;
}

struct Walk {
  Unknowns mean = Unknowns::Zero(), likeliest = Unknowns::Zero();
  SlotSpread spread = SlotSpread::Zero();
  std::array<std::vector<double>, 5> places;  ///< of each unknown, one a step
};

/// Mean and spread of the latter half of a walk.
Walk walked(const Likelihood& likelihood, const Unknowns& from, const SlotSpread& spread, int steps,
            Rng& rng) {
  SlotSpread root = spread.llt().matrixL();
  double scale = 2.4 / std::sqrt(5.0);  // Roberts, Gelman & Gilks 1997
  Unknowns x = from;
  double now = likelihood(x), most = now;
  Walk out;
  out.likeliest = x;
  int counted = 0;
  for (int step = 0; step < steps; ++step) {
    Unknowns by;
    for (int k = 0; k < 5; ++k)
      by[k] = rng.normal();
    const Unknowns next = x + scale * (root * by);
    const double value = likelihood(next);
    const bool taken = std::log(std::max(rng.uniform(), 1e-300)) < value - now;
    if (taken) {
      x = next;
      now = value;
      if (now > most) {
        most = now;
        out.likeliest = x;
      }
    }
    if (step < steps / 2) {  // a quarter of the steps are to be taken
      scale *= std::exp((taken ? 0.75 : -0.25) * 3.0 / std::sqrt(step + 10.0));
      continue;
    }
    ++counted;
    for (int k = 0; k < 5; ++k)
      out.places[static_cast<std::size_t>(k)].push_back(x[k]);
    const Unknowns off = x - out.mean;
    out.mean += off / counted;
    out.spread += off * (x - out.mean).transpose();
  }
  out.spread /= std::max(1, counted - 1);
  return out;
}

SlotSpread first_spread(const Unknowns& x, double density) {
  const double rim_mm = 2.0 * kPi * x[kSlotRadius] + 4.0 * x[kSlotStraight];
  const double gap = std::min(4.0 / (density * rim_mm), 0.05 * x[kSlotRadius]);
  Unknowns sizes = Unknowns::Constant(gap);
  sizes[kSlotTurn] = gap / (x[kSlotRadius] + x[kSlotStraight]);
  return sizes.cwiseAbs2().asDiagonal();
}

/// Where an unknown tails off slower than a normal distribution, its spread is widened until two
/// standard deviations hold as much as theirs do, on either side (see fit_rim).
SlotSpread with_tails(const Walk& walk) {
  Unknowns wider = Unknowns::Ones();
  for (int k = 0; k < 5; ++k) {
    const std::vector<double>& places = walk.places[static_cast<std::size_t>(k)];
    const double two_sigma = 2.0 * std::sqrt(walk.spread(k, k));
    const double below = walk.mean[k] - quantile(places, kBeyondTwoSigma);
    const double above = quantile(places, 1.0 - kBeyondTwoSigma) - walk.mean[k];
    if (two_sigma > 0.0) wider[k] = std::max({1.0, below / two_sigma, above / two_sigma});
  }
  return wider.asDiagonal() * walk.spread * wider.asDiagonal();
}

/// How far the rim moves by one standard deviation of every unknown.
double shift_of(const SlotSpread& spread, const Unknowns& x) {
  return most_shift(x, x + spread.diagonal().cwiseSqrt());
}

bool is_near(const Unknowns& x, const FlatSlot& expected) {
  const double r = expected.radius_mm;
  return x.head<2>().norm() <= kRimOffset * r && x[kSlotRadius] > 1.01 * kSmallestRim * r &&
         x[kSlotRadius] < 0.99 * kWidestRim * r && std::abs(x[kSlotTurn]) <= kMostRimTurn_rad &&
         x[kSlotStraight] > 0.0 && std::abs(x[kSlotStraight] - expected.half_straight_mm) < r;
}

/// Along and across as the slot lies turn into x and y where its turn matters little; the smear
/// along the rim is never known exactly.
SlotSpread with_smear(SlotSpread spread, double smear_mm, double half_straight_mm,
                      double radius_mm) {
  const double variance = std::pow(kSmearError * smear_mm, 2);
  for (const int k : {kSlotAlong, kSlotAcross, kSlotRadius})
    spread(k, k) += variance;
  spread(kSlotTurn, kSlotTurn) += variance / std::pow(half_straight_mm + radius_mm, 2);
  return spread;
}

}  // namespace

FittedSlotRim fit_slot_rim(const std::vector<Vector2d>& points, double smear_mm,
                           const FlatSlot& expected, std::uint64_t seed) {
  FittedSlotRim out;
  if (points.size() < kFewestRimPoints) return out;
  Unknowns drawn;
  drawn << 0.0, 0.0, expected.radius_mm, expected.half_straight_mm, 0.0;
  Unknowns x = through_innermost(points, drawn);
  if (!is_near(x, expected)) x = drawn;
  Rng rng = Rng(seed).stream("slot rim");
  SlotSpread spread = first_spread(x, Likelihood(points, smear_mm, x, 0.0).density());
  for (const int steps : {kFirstWalk, kSecondWalk, kLastWalk}) {
    const double widest = 0.3 * x[kSlotRadius];
    const double reach =
        steps == kLastWalk ? std::min(widest, kLastReach * shift_of(spread, x)) : widest;
    const Likelihood likelihood(points, smear_mm, x, reach);
    out.seen_share = likelihood.seen_share();
    if (out.seen_share <= 0.0) return out;
    const Walk walk = walked(likelihood, x, spread, steps, rng);
    x = steps == kLastWalk ? walk.mean : walk.likeliest;
    if (!is_near(x, expected)) return out;
    spread = steps == kLastWalk ? with_tails(walk) : walk.spread;
    spread += 1e-12 * SlotSpread::Identity();
  }
  const Likelihood last(points, smear_mm, x, 0.0);
  out.seen_share = last.seen_share();
  out.is_open = last.filled() <= kMostFilled;
  out.slot.center_mm = x.head<2>();
  out.slot.radius_mm = x[kSlotRadius];
  out.slot.half_straight_mm = x[kSlotStraight];
  out.slot.turn_rad = x[kSlotTurn];
  out.covariance = with_smear(spread, smear_mm, x[kSlotStraight], x[kSlotRadius]);
  out.points = last.points_near();
  return out;
}

}  // namespace trammel
