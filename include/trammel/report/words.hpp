#pragma once

/// Numbers, directions and places as a fitter says them.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// Decimals for lengths: one finer than the band is written, and no more than U allows
/// (0.05 mm allows two).
[[nodiscard]] int length_decimals(const Band& band, double uncertainty_mm);
/// The same for a whole inspection.
[[nodiscard]] int length_decimals(const Inspection& inspection);

/// "±0.50 mm", or "+0.50 / −0.30 mm" when the sides differ.
[[nodiscard]] std::string band_words(const Band& band, int decimals);

/// A direction in the part's own axes, strongest parts only: "+X −Y +Z", "+Z".
[[nodiscard]] std::string axes_words(const Eigen::Vector3d& direction);

/// Where a point of the surface is: "facing +X, near the +Z end"; the end is left out in the
/// middle.
[[nodiscard]] std::string place_words(const Eigen::Vector3d& point_mm,
                                      const Eigen::Vector3d& normal, const Box& part);

/// "X 45.0, Y 15.0, Z 3.0".
[[nodiscard]] std::string point_words(const Eigen::Vector3d& point_mm);

/// "2,450 mm²", "3.4 mm²" below ten.
[[nodiscard]] std::string area_words(double area_mm2);

/// A share as a percentage that never rounds to 0 or 100 unless it is: "93 %", "99.9 %", "0.04 %".
[[nodiscard]] std::string percent_words(double share);

/// "25 Nov 2026" from "2026-11-25"; anything else comes back unchanged.
[[nodiscard]] std::string date_words(const std::string& iso_date);

/// "A", "A and B", "A, B and C", "A, B, C and 4 more" beyond `most` names.
[[nodiscard]] std::string list_words(const std::vector<std::string>& names, std::size_t most);

/// "hole A", "holes A and B and pin C": names safe to print, at most so many of a kind.
[[nodiscard]] std::string round_names(const std::vector<const HoleResult*>& holes,
                                      std::size_t most);

/// "one" to "twelve", digits above.
[[nodiscard]] std::string count_words(std::size_t count);

/// "Pass", "Fail", "Undecided".
[[nodiscard]] std::string verdict_word(Outcome outcome);

/// The plan's title, or the design's file name; safe to print.
[[nodiscard]] std::string part_title(const Inspection& inspection);
[[nodiscard]] std::string part_title(const Plan& plan, const std::string& design_file);

/// "scanned with …, checked by …", as far as the plan says; empty where it says neither. Safe to
/// print.
[[nodiscard]] std::string maker_words(const Plan& plan);

/// Of a hole, pin or slot that was not made: "is missing", or while the scan's place is in doubt
/// "may be missing".
[[nodiscard]] std::string absence_words(Outcome outcome);

/// The one sentence under the verdict.
[[nodiscard]] std::string verdict_sentence(const Inspection& inspection);

}  // namespace trammel
