#include "trammel/judge/bolt_pattern.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <vector>

namespace trammel {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kMostTriedHoles = 8;
/// A hole that must keep its play outweighs, in the search, one that may be opened.
constexpr double kMustKeep = 1000.0;

class Pattern {
 public:
  explicit Pattern(const std::vector<BoltedHole>& pattern) : pattern_(pattern) {}

  /// From the moved hole to its bolt.
  [[nodiscard]] Vector2d gap(std::size_t i, const PatternFit& at) const {
    return pattern_[i].bolt_mm - at.moved(pattern_[i].hole_mm);
  }

  /// The place where the worst hole is best; those in `opened` count only where all others keep
  /// `least_play_mm`.
  [[nodiscard]] PatternFit best(const std::vector<std::uint8_t>& opened,
                                double least_play_mm) const {
    const bool any_opened = std::find(opened.begin(), opened.end(), 1) != opened.end();
    std::vector<WantedPlace> places;
    for (std::size_t i = 0; i < pattern_.size(); ++i) {
      const BoltedHole& one = pattern_[i];
      places.push_back({one.hole_mm, one.bolt_mm, one.slack_mm - least_play_mm,
                        any_opened && opened[i] == 0 ? kMustKeep : 1.0});
    }
    PatternFit at{least_worst_motion(places, kMostPatternTurn_rad),
                  std::numeric_limits<double>::infinity()};
    for (std::size_t i = 0; i < pattern_.size(); ++i)
      if (opened[i] == 0)
        at.play_mm = std::min(at.play_mm, pattern_[i].slack_mm - gap(i, at).norm());
    return at;
  }

 private:
  const std::vector<BoltedHole>& pattern_;
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
