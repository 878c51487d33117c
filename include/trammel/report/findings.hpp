#pragma once

/// Regions, holes, slots, distances and forms that are worth a line, worst first.

#include <optional>
#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// What a finding is about. A distance has no one place, nor has the form of a face: no balloon
/// points at them.
enum class Subject { Region, Hole, Distance, Form, Slot };

struct Finding {
  std::string label;  ///< the region's number or the name, as in the balloon; printable
  Subject subject = Subject::Region;
  std::size_t index = 0;  ///< into verdict.regions, holes, distances, forms or slots
  Outcome outcome = Outcome::Undecided;
  double severity = 0.0;  ///< how far out, in multiples of its limit
  std::string title;      ///< one sentence
  std::string detail;     ///< figures
};

/// Of a hole, pin or slot that was not made: worse than any figure.
inline constexpr double kAbsentSeverity = 1e9;

/// Everything that failed, is undecided or listed, in that order, each by falling severity, but
/// regions that a hole, pin, slot or larger region tells of last.
[[nodiscard]] std::vector<Finding> findings(const Inspection& inspection);

/// Of a hole or slot that passed, which `findings` leaves out: "Hole A is as planned."
/// @param index  into verdict.holes or slots
[[nodiscard]] Finding finding_as_planned(const Inspection& inspection, Subject subject,
                                         std::size_t index);

/// A name for the page of HTML that links words, table and picture: "region-3", "hole-0".
[[nodiscard]] std::string mark_of_region(const Region& region);
/// @param index  into verdict.holes
[[nodiscard]] std::string mark_of_hole(std::size_t index);
/// @param index  into verdict.slots
[[nodiscard]] std::string mark_of_slot(std::size_t index);
/// @param index  into verdict.flaws
[[nodiscard]] std::string mark_of_flaw(std::size_t index);
/// Whether it is about a hole or a slot.
[[nodiscard]] bool is_opening(const Finding& finding);
/// Whether there is one place on the part to point at.
[[nodiscard]] bool has_place(const Finding& finding);
/// Empty without a place.
[[nodiscard]] std::string mark_of(const Finding& finding);

/// How much of its tolerance a figure used, on the side it is off to; 0 where it is as drawn.
[[nodiscard]] double used_share(double actual, double nominal, double least, double most);

/// A reason with a capital letter and a full stop; printable.
[[nodiscard]] std::string reason_sentence(const std::string& reason);

/// The first reason where the outcome is undecided, else the figures; printable.
[[nodiscard]] std::string why_or(Outcome outcome, const std::vector<std::string>& reasons,
                                 const std::string& figures);

/// How a hole was found, good or bad: "position 2.40 against 0.50, size 8.42 (8.20 to 8.80)".
[[nodiscard]] std::string hole_figures(const Inspection& inspection, const HoleResult& hole,
                                       int decimals);

/// How a distance was found: "36.42 mm against 36.06 (35.86 to 36.26, ISO 2768-m)."
[[nodiscard]] std::string distance_figures(const DistanceResult& distance, int decimals);

/// The hole that used most of the position zone that the plan gives it; null when none was measured
/// against one.
[[nodiscard]] const HoleResult* tightest_hole(const Inspection& inspection);

/// The reading that came nearest to its limit or went farthest beyond, over all seen cells.
struct NearestReading {
  double deviation_mm = 0.0;
  double limit_mm = 0.0;  ///< positive, of the side the deviation is on
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();
  bool found = false;  ///< false when nothing was seen
};
/// @param side  proud or shy readings alone; without it, both
[[nodiscard]] NearestReading nearest_to_limit(const Inspection& inspection,
                                              std::optional<RegionKind> side = {});

}  // namespace trammel
