#pragma once

/// How much of the seen surface stands how far off, for the legend that is also a histogram.

#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

struct Histogram {
  std::vector<double> edges_mm;  ///< #bins + 1, rising; 0, the limits and all steps are among them
  std::vector<double> area_mm2;  ///< #bins
  double below_mm2 = 0.0, beyond_mm2 = 0.0;  ///< off the axis on either side
  double seen_mm2 = 0.0;                     ///< all of the above together
  double proud_mm2 = 0.0, shy_mm2 = 0.0;     ///< outside the band of its place
};

/// The axis runs to three times the band's limit on each side, 48 bins a side; a limit of 0 borrows
/// the other side's.
[[nodiscard]] Histogram histogram_of(const Inspection& inspection);

/// A band as the axis has it: a limit of 0 borrows the other side's. The axis reaches
/// `kBandsASide` times as far.
[[nodiscard]] Band drawn_band(const Band& band);
constexpr int kBandsASide = 3;

}  // namespace trammel
