#pragma once

/// As many points as an answer can use: more cost time and memory and change nothing.

#include "trammel/model/scan.hpp"

namespace trammel {

/// Changes have 60,000 places at most (changes/core_points.hpp), and a mean over some fifty points
/// at each is as sure as the pose lets it be; directions need fewer.
constexpr Eigen::Index kEnoughPoints = 3'000'000;

/// The scan, or, where it has more points, about `most` of them, chosen by where they lie, as
/// geometry/chosen_by_place.hpp has it.
/// @param scan  in any unit; points that are not finite may be left out
[[nodiscard]] Scan enough_points(Scan scan, Eigen::Index most);

}  // namespace trammel
