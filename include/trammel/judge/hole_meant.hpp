#pragma once

/// Whether it is beyond doubt which hole of the design a plan means by its point.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the reason then begins with.
inline constexpr const char* kPointGiven = "the point given lies ";

/// A point in the hole, or level with it over its mouth, means it. Beside the hole it may be a
/// slip: it does not mean a hole whose wall is farther from it than the hole's radius (2 mm at
/// least), nor one where another hole with an axis of its own is not twice as far off.
/// @param result  of judge_hole: the hole of the design that lies nearest
/// @param holes   of the design
/// @return  why it is not known, or nothing
[[nodiscard]] std::optional<std::string> doubt_of_meaning(const HoleCheck& check,
                                                          const HoleResult& result,
                                                          const std::vector<DesignHole>& holes);

/// Leaves those undecided that may be another's than was measured: by the rule above, or because
/// a point beside a hole that another check already takes may mean one that was not drawn.
/// @param results  one for each check, in the plan's order
void doubt_holes_not_meant(const std::vector<HoleCheck>& checks,
                           const std::vector<DesignHole>& holes, std::vector<HoleResult>& results);

}  // namespace trammel
