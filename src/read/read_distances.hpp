#pragma once

/// What a plan says of distances.

#include "plan_table.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// Reads [[distance]] into the plan, whose holes must have been read.
/// @param root  the plan's outermost table
/// @param file  for messages
/// @throws Error Input for a hole that the plan has not, a class that no table has, a class beside
///         `over` and `under` or neither, and a nominal size that the class gives nothing for
void read_distances(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
