#include "trammel/base/stats.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <functional>
#include <limits>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
/// 1 / Φ⁻¹(3/4): makes the median absolute deviation a standard deviation for normal data.
constexpr double kMadToSigma = 1.482602218505602;

/// So many values and more are first counted into bins, on all threads.
constexpr std::size_t kMany = 1U << 17U;
constexpr std::size_t kGrain = 1U << 19U;
constexpr unsigned kBinBits = 15;

/// The value that `rank` others come before in ascending order, and the one after it.
struct Ranked {
  double value, next;
};

Ranked ranked_in_place(std::vector<double>& values, std::size_t rank) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), at, values.end());
  return {*at, at + 1 == values.end() ? *at : *std::min_element(at + 1, values.end())};
}

/// Ascending with the value: by its leading bits, as IEEE 754 orders them.
std::size_t bin_of(double value) {
  std::uint64_t bits = 0;
  const double same = value + 0.0;  // −0 becomes 0
  std::memcpy(&bits, &same, sizeof bits);
  const std::uint64_t sign = std::uint64_t{1} << 63U;
  bits = (bits & sign) != 0 ? ~bits : bits | sign;
  return bits >> (64U - kBinBits);
}

std::vector<std::size_t> counts_of_bins(const std::vector<double>& values) {
  const std::size_t bins = std::size_t{1} << kBinBits;
  std::vector<std::vector<std::size_t>> parts((values.size() + kGrain - 1) / kGrain);
  for_each_chunk(values.size(), kGrain, [&](std::size_t begin, std::size_t end) {
    std::vector<std::size_t>& counts = parts[begin / kGrain];
    counts.assign(bins, 0);
    for (std::size_t i = begin; i < end; ++i)
      ++counts[bin_of(values[i])];
  });
  std::vector<std::size_t> all(bins, 0);
  for (const std::vector<std::size_t>& counts : parts)
    std::transform(all.begin(), all.end(), counts.begin(), all.begin(), std::plus<>());
  return all;
}

double value_at(const std::vector<double>& values, const std::vector<std::size_t>& counts,
                std::size_t rank) {
  std::size_t bin = 0;
  for (; rank >= counts[bin]; ++bin)
    rank -= counts[bin];
  std::vector<double> in_bin;
  for (const std::ptrdiff_t i :
       indices_where(values.size(), [&](std::size_t k) { return bin_of(values[k]) == bin; }))
    in_bin.push_back(values[static_cast<std::size_t>(i)]);
  return ranked_in_place(in_bin, rank).value;
}

Ranked ranked_of_many(const std::vector<double>& values, std::size_t rank) {
  const std::vector<std::size_t> counts = counts_of_bins(values);
  const double value = value_at(values, counts, rank);
  return {value, rank + 1 == values.size() ? value : value_at(values, counts, rank + 1)};
}

}  // namespace

void RunningStats::add(double value) {
  ++count_;
  const double delta = value - mean_;
  mean_ += delta / static_cast<double>(count_);
  squares_ += delta * (value - mean_);
}

RunningStats& RunningStats::operator+=(double value) {
  add(value);
  return *this;
}

RunningStats& RunningStats::operator+=(const RunningStats& others) {
  if (others.count_ == 0) return *this;
  if (count_ == 0) return *this = others;
  const auto own = static_cast<double>(count_), added = static_cast<double>(others.count_);
  const double delta = others.mean_ - mean_;
  count_ += others.count_;
  mean_ += delta * added / (own + added);
  squares_ += others.squares_ + delta * delta * own * added / (own + added);
  return *this;
}

double RunningStats::stddev() const {
  return count_ < 2 ? 0.0 : std::sqrt(squares_ / static_cast<double>(count_ - 1));
}

double quantile(const std::vector<double>& values, double share) {
  if (values.empty()) return kNan;
  const double place = std::clamp(share, 0.0, 1.0) * static_cast<double>(values.size() - 1);
  const auto rank = static_cast<std::size_t>(place);
  Ranked found{};
  if (values.size() >= kMany) {
    found = ranked_of_many(values, rank);
  } else {
    std::vector<double> copy = values;
    found = ranked_in_place(copy, rank);
  }
  const double part = place - static_cast<double>(rank);
  return part > 0.0 ? found.value + part * (found.next - found.value) : found.value;
}

double median_of(std::vector<double>& values) {
  if (values.empty()) return kNan;
  const std::size_t lower = (values.size() - 1) / 2;
  const Ranked found =
      values.size() >= kMany ? ranked_of_many(values, lower) : ranked_in_place(values, lower);
  return values.size() % 2 == 1 ? found.value : 0.5 * (found.value + found.next);
}

double robust_sigma(std::vector<double> values) {
  const double middle = median_of(values);
  for (double& value : values)
    value = std::abs(value - middle);
  return kMadToSigma * median_of(values);
}

}  // namespace trammel
