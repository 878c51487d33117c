#include "trammel/base/stats.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace trammel {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
/// 1 / Φ⁻¹(3/4): makes the median absolute deviation a standard deviation for normal data.
constexpr double kMadToSigma = 1.482602218505602;

double order_statistic(std::vector<double>& values, std::size_t rank) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

}  // namespace

void RunningStats::add(double value) {
  ++count_;
  const double delta = value - mean_;
  mean_ += delta / static_cast<double>(count_);
  squares_ += delta * (value - mean_);
}

double RunningStats::stddev() const {
  return count_ < 2 ? 0.0 : std::sqrt(squares_ / static_cast<double>(count_ - 1));
}

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return kNan;
  const double place = std::clamp(share, 0.0, 1.0) * static_cast<double>(values.size() - 1);
  const auto rank = static_cast<std::size_t>(place);
  const double low = order_statistic(values, rank);
  if (rank + 1 == values.size()) return low;
  const double high =
      *std::min_element(values.begin() + static_cast<std::ptrdiff_t>(rank) + 1, values.end());
  return low + (place - static_cast<double>(rank)) * (high - low);
}

double median_of(std::vector<double>& values) {
  if (values.empty()) return kNan;
  const std::size_t half = values.size() / 2;
  const double high = order_statistic(values, half);
  if (values.size() % 2 == 1) return high;
  const double low =
      *std::max_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(half));
  return 0.5 * (low + high);
}

double robust_sigma(std::vector<double> values) {
  const double middle = median_of(values);
  for (double& value : values)
    value = std::abs(value - middle);
  return kMadToSigma * median_of(values);
}

}  // namespace trammel
