#include "trammel/judge/uncertainty.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr double kLeastExpanded_mm = 0.002;
/// More readings than this tell nothing new of the noise.
constexpr Index kMostResiduals = 200000;
constexpr int kEnoughSupport = 5;

double noise_mm(const Deviations& deviations, const CellReadings& readings) {
  std::vector<double> residuals;
  const Index count = readings.cell_of_point.size();
  const Index step = std::max<Index>(1, count / kMostResiduals);
  for (Index i = 0; i < count; i += step) {
    const int cell = readings.cell_of_point[i];
    if (cell < 0 || readings.support[cell] < kEnoughSupport) continue;
    residuals.push_back(deviations.signed_mm[i] - readings.deviation_mm[cell]);
  }
  return residuals.empty() ? 0.0 : robust_sigma(std::move(residuals));
}

}  // namespace

UncertaintyBudget uncertainty_of(const Plan& plan, const Alignment& alignment,
                                 const Deviations& deviations, const CellReadings& readings) {
  UncertaintyBudget out;
  out.noise_mm = noise_mm(deviations, readings);
  const double turn_mm = alignment.round ? alignment.round->off_mm / std::sqrt(3.0) : 0.0;
  out.alignment_mm = std::hypot(alignment.standard_error_mm, turn_mm);
  out.coating_mm = 0.5 * plan.coating_mm / std::sqrt(3.0);
  out.from_plan = plan.uncertainty_mm.has_value();
  const double combined = std::hypot(out.noise_mm, out.alignment_mm, out.coating_mm);
  out.expanded_mm = out.from_plan ? std::hypot(*plan.uncertainty_mm, 2.0 * turn_mm)
                                  : std::max(kLeastExpanded_mm, 2.0 * combined);
  return out;
}

double uncertainty_within_scan_mm(const UncertaintyBudget& budget) {
  if (budget.from_plan) return budget.expanded_mm;
  return std::max(kLeastExpanded_mm, 2.0 * std::hypot(budget.noise_mm, budget.coating_mm));
}

DeviationSummary summary_of(const Deviations& deviations) {
  DeviationSummary out;
  const std::vector<Index> measured = indices_where(deviations.reading.size(), [&](std::size_t i) {
    return deviations.reading[i] == Reading::Measured;
  });
  out.count = measured.size();
  if (measured.empty()) return out;
  std::vector<double> values(measured.size());
  for_each_index(values.size(),
                 [&](std::size_t k) { values[k] = deviations.signed_mm[measured[k]]; });
  const auto stats =
      ordered_sum(values.size(), RunningStats(), [&](std::size_t k) { return values[k]; });
  out.mean_mm = stats.mean();
  out.stddev_mm = stats.stddev();
  const double squares =
      ordered_sum(values.size(), 0.0, [&](std::size_t k) { return values[k] * values[k]; });
  out.rms_mm = std::sqrt(squares / static_cast<double>(values.size()));
  out.min_mm = quantile(values, 0.0);
  out.p05_mm = quantile(values, 0.05);
  out.median_mm = quantile(values, 0.5);
  out.p95_mm = quantile(values, 0.95);
  out.max_mm = quantile(values, 1.0);
  return out;
}

}  // namespace trammel
