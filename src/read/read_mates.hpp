#pragma once

/// What the part is bolted to, where it was scanned: [[mate]].

#include <string>

#include "plan_table.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// @param root  the plan itself
/// @param file  for messages
/// @param plan  its holes are read already; gets its mates
/// @throws Error Input with the place: a group that no bolted hole is in, or that must be told and
///         is not; another number of places than the group has bolted holes, or fewer than two; two
///         mates of one group
void read_mates(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
