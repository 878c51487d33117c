#include "trammel/judge/decide.hpp"

#include <cmath>
#include <limits>

namespace trammel {
namespace {

constexpr double kNoLimit = std::numeric_limits<double>::infinity();

/// Probability that a standard normal variable lies above z; keeps its digits in the far tail.
double upper_tail(double z) {
  return 0.5 * std::erfc(z / std::sqrt(2.0));
}

}  // namespace

Outcome decide(double value, double low, double high, double expanded_uncertainty) {
  const double U = expanded_uncertainty;
  // Written so that a NaN anywhere fails every comparison and ends as undecided.
  if (!(U >= 0.0 && std::isfinite(U) && std::isfinite(value) && low <= high)) {
    return Outcome::Undecided;
  }
  if (value < low - U || value > high + U) return Outcome::Fail;
  if (low + U <= value && value <= high - U) return Outcome::Pass;
  return Outcome::Undecided;
}

Outcome decide_at_most(double value, double high, double expanded_uncertainty) {
  return decide(value, -kNoLimit, high, expanded_uncertainty);
}

Outcome decide_at_least(double value, double low, double expanded_uncertainty) {
  return decide(value, low, kNoLimit, expanded_uncertainty);
}

double conformance_probability(double value, double low, double high, double standard_uncertainty) {
  const double u = standard_uncertainty;
  if (u == 0.0) return low <= value && value <= high ? 1.0 : 0.0;
  // Of the two equal forms Φ(b) − Φ(a) = Q(a) − Q(b), the one whose terms are small is exact.
  const double a = (low - value) / u;
  const double b = (high - value) / u;
  return a > 0.0 ? upper_tail(a) - upper_tail(b) : upper_tail(-b) - upper_tail(-a);
}

}  // namespace trammel
