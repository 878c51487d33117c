#pragma once

/// Finds in the design mesh the round pin that a plan means by "near this point".

#include <Eigen/Core>
#include <optional>

#include "trammel/geometry/find_hole.hpp"

namespace trammel {

/// The round pin or boss whose wall lies nearest to `at_mm`; nothing when there is none near.
///
/// Turned inside out, a pin's wall is that of a hole: it is looked for as `find_hole` does, and its
/// axis goes out of the end near the point.
/// @param design  welded, wound outward
/// @param at_mm   usually the middle of its free end
[[nodiscard]] std::optional<DesignHole> find_pin(const Mesh& design, const Eigen::Vector3d& at_mm,
                                                 const FindHoleSettings& settings = {});

}  // namespace trammel
