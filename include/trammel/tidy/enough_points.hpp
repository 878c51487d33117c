#pragma once

/// As many points as an answer can use: more cost time and memory and change nothing.

#include "trammel/model/scan.hpp"

namespace trammel {

/// The scan, or, where it has more points, about `most` of them, spread evenly among them and the
/// same ones in whatever order they come (geometry/chosen_by_place.hpp).
/// @param scan  in any unit; points that are not finite may be left out
[[nodiscard]] Scan enough_points(Scan scan, Eigen::Index most);

}  // namespace trammel
