#pragma once

/// Small statistics with the definition named: they end up on a sheet.

#include <cstddef>
#include <vector>

namespace trammel {

/// Mean and sample standard deviation (n − 1) by Welford's running update, and of two parts by that
/// of Chan, Golub & LeVeque (1983); safe for large offsets. `ordered_sum` takes it.
class RunningStats {
 public:
  void add(double value);
  RunningStats& operator+=(double value);
  RunningStats& operator+=(const RunningStats& others);
  [[nodiscard]] std::size_t count() const { return count_; }
  [[nodiscard]] double mean() const { return mean_; }
  /// 0 for fewer than two values.
  [[nodiscard]] double stddev() const;

 private:
  std::size_t count_ = 0;
  double mean_ = 0.0, squares_ = 0.0;
};

/// Quantile of type 7 (linear between order statistics; Hyndman & Fan 1996). NaN when empty.
/// @param values  none of them NaN
/// @param share   in [0, 1]
[[nodiscard]] double quantile(const std::vector<double>& values, double share);

/// The middle value; the mean of the two middle ones for an even count. NaN when empty.
/// Reorders `values`, none of which is NaN.
[[nodiscard]] double median_of(std::vector<double>& values);

/// 1.4826 · median |x − median|: a standard deviation that strays do not move. NaN when empty.
[[nodiscard]] double robust_sigma(std::vector<double> values);

}  // namespace trammel
