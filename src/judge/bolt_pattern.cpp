#include "trammel/judge/bolt_pattern.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>

namespace trammel {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kMostTriedHoles = 8;
/// A hole that must keep its play outweighs, in the search, one that may be opened.
constexpr double kMustKeep = 1000.0;

/// Place of the least value of a function with one valley.
template <typename Function>
std::pair<double, double> golden_least(double low, double high, const Function& value) {
  constexpr double kGolden = 0.6180339887498949;
  constexpr int kSteps = 34;  // leaves 0.618^34 = 8e-8 of the width
  double a = high - kGolden * (high - low), b = low + kGolden * (high - low);
  double at_a = value(a), at_b = value(b);
  for (int step = 0; step < kSteps; ++step) {
    if (at_a <= at_b) {
      high = b;
      b = a;
      at_b = at_a;
      a = high - kGolden * (high - low);
      at_a = value(a);
    } else {
      low = a;
      a = b;
      at_a = at_b;
      b = low + kGolden * (high - low);
      at_b = value(b);
    }
  }
  return at_a <= at_b ? std::pair{a, at_a} : std::pair{b, at_b};
}

class Pattern {
 public:
  explicit Pattern(const std::vector<BoltedHole>& pattern) : pattern_(pattern) {
    for (const BoltedHole& one : pattern)
      middle_ += one.hole_mm / static_cast<double>(pattern.size());
    for (const BoltedHole& one : pattern)
      reach_ = std::max(reach_, 2.0 * (one.hole_mm - one.bolt_mm).norm() +
                                    kMostPatternTurn_rad * (one.hole_mm - middle_).norm());
  }

  /// From the moved hole to its bolt.
  [[nodiscard]] Vector2d gap(std::size_t i, const PatternFit& at) const {
    const Eigen::Rotation2Dd turn(at.turn_rad);
    const BoltedHole& one = pattern_[i];
    return one.bolt_mm - (turn * (one.hole_mm - middle_) + middle_ + at.shift_mm);
  }

  /// The place where the worst hole is best; those in `opened` count only where all others keep
  /// `least_play_mm`.
  [[nodiscard]] PatternFit best(const std::vector<std::uint8_t>& opened,
                                double least_play_mm) const {
    PatternFit at;
    const auto worst = [&](const PatternFit& place) {
      double most = -std::numeric_limits<double>::infinity();
      for (std::size_t i = 0; i < pattern_.size(); ++i) {
        const double lack = gap(i, place).norm() - pattern_[i].slack_mm + least_play_mm;
        const bool must_keep = opened[i] == 0 && any(opened);
        most = std::max(most, must_keep ? kMustKeep * lack : lack);
      }
      return most;
    };
    const auto in_y = [&](double turn, double x) {
      return golden_least(-reach_, reach_, [&](double y) { return worst({{x, y}, turn, 0.0}); });
    };
    const auto in_x = [&](double turn) {
      return golden_least(-reach_, reach_, [&](double x) { return in_y(turn, x).second; });
    };
    at.turn_rad = golden_least(-kMostPatternTurn_rad, kMostPatternTurn_rad, [&](double turn) {
                    return in_x(turn).second;
                  }).first;
    at.shift_mm.x() = in_x(at.turn_rad).first;
    at.shift_mm.y() = in_y(at.turn_rad, at.shift_mm.x()).first;
    at.play_mm = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < pattern_.size(); ++i)
      if (opened[i] == 0)
        at.play_mm = std::min(at.play_mm, pattern_[i].slack_mm - gap(i, at).norm());
    return at;
  }

  static bool any(const std::vector<std::uint8_t>& opened) {
    return std::find(opened.begin(), opened.end(), 1) != opened.end();
  }

 private:
  const std::vector<BoltedHole>& pattern_;
  Vector2d middle_ = Vector2d::Zero();
  double reach_ = 1e-6;
};

double widest(const PatternOpenings& openings) {
  double most = 0.0;
  for (const Vector2d& lacking : openings.lacking_mm)
    most = std::max(most, lacking.norm());
  return most;
}

PatternOpenings openings_at(const Pattern& pattern, const PatternFit& fit,
                            const std::vector<std::uint8_t>& opened) {
  PatternOpenings out;
  out.fit = fit;
  for (std::size_t i = 0; i < opened.size(); ++i) {
    if (opened[i] == 0) continue;
    out.holes.push_back(i);
    out.lacking_mm.push_back(pattern.gap(i, fit));
  }
  return out;
}

}  // namespace

PatternFit best_play(const std::vector<BoltedHole>& pattern) {
  return Pattern(pattern).best(std::vector<std::uint8_t>(pattern.size(), 0), 0.0);
}

PatternOpenings fewest_openings(const std::vector<BoltedHole>& pattern, double least_play_mm) {
  const Pattern problem(pattern);
  const std::size_t count = pattern.size();
  std::vector<std::uint8_t> none(count, 0);
  const PatternFit plain = problem.best(none, least_play_mm);
  if (plain.play_mm >= least_play_mm) return openings_at(problem, plain, none);
  if (count > kMostTriedHoles) {
    for (std::size_t i = 0; i < count; ++i)
      none[i] = problem.gap(i, plain).norm() + least_play_mm > pattern[i].slack_mm ? 1 : 0;
    return openings_at(problem, plain, none);
  }
  PatternOpenings best;
  for (std::size_t opened = 1; opened <= count; ++opened) {
    std::vector<std::uint8_t> chosen(count, 0);
    std::fill(chosen.begin(), chosen.begin() + static_cast<std::ptrdiff_t>(opened), 1);
    do {  // every set of that size, in a fixed order
      const PatternFit fit = problem.best(chosen, least_play_mm);
      const PatternOpenings tried = openings_at(problem, fit, chosen);
      // The search ends about a micrometre short of the play, and gives way by the weight's share
      // of what an opened hole lacks.
      if (fit.play_mm < least_play_mm - 1e-3 - widest(tried) / kMustKeep) continue;
      if (best.holes.empty() || widest(tried) < widest(best)) best = tried;
    } while (std::prev_permutation(chosen.begin(), chosen.end()));
    if (!best.holes.empty()) break;
  }
  return best;
}

}  // namespace trammel
