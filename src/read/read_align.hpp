#pragma once

/// How the plan wants the part held: [align], [[pair]] and [[datum]].

#include <string>

#include "plan_table.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// @param root  the plan itself
/// @param file  for messages
/// @param plan  its zones are read already; gets everything about the alignment
/// @throws Error Input with the place: an unknown method, keys of another method than the one asked
///         for, fewer than three pairs or pairs in one line, a datum's label twice, no such zone
void read_align(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
