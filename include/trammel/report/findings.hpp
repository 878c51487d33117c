#pragma once

/// Regions and holes that are worth a line, worst first.

#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

struct Finding {
  std::string label;  ///< the region's number or the hole's name, as in the balloon; printable
  bool is_hole = false;
  std::size_t index = 0;  ///< into verdict.regions or verdict.holes
  Outcome outcome = Outcome::Undecided;
  double severity = 0.0;  ///< how far out, in multiples of its limit
  std::string title;      ///< one sentence
  std::string detail;     ///< figures
};

/// Everything that failed, is undecided or listed, in that order, each by falling severity.
[[nodiscard]] std::vector<Finding> findings(const Inspection& inspection);

/// A name for the page of HTML that links words, table and picture: "region-3", "hole-0".
[[nodiscard]] std::string mark_of_region(const Region& region);
/// @param index  into verdict.holes
[[nodiscard]] std::string mark_of_hole(std::size_t index);
[[nodiscard]] std::string mark_of(const Finding& finding);

/// How a hole was found, good or bad: "position 2.40 against 0.50, size 8.42 (8.20 to 8.80)".
[[nodiscard]] std::string hole_figures(const Inspection& inspection, const HoleResult& hole,
                                       int decimals);

/// The plan's check of that name, or null.
[[nodiscard]] const HoleCheck* check_of(const Plan& plan, const std::string& hole_name);

/// The reading that came nearest to its limit or went farthest beyond, over all seen cells.
struct NearestReading {
  double deviation_mm = 0.0;
  double limit_mm = 0.0;  ///< positive, of the side the deviation is on
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
  bool found = false;  ///< false when nothing was seen
};
[[nodiscard]] NearestReading nearest_to_limit(const Inspection& inspection);

}  // namespace trammel
