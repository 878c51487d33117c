#pragma once

/// [[hole]] and [[pin]] of a plan.

#include "plan_table.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// Adds them to the plan, the pins after the holes.
/// @throws Error Input with the place in the file, for two of one name as well
void read_holes(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
