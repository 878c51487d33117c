#pragma once

/// Form and orientation of flat faces, and walls: [[flatness]], [[parallelism]],
/// [[perpendicularity]], [[angle]], [[thickness]].

#include <string>

#include "plan_table.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// @param root  the plan itself
/// @param file  for messages
/// @throws Error Input with the place: no tolerance or more than one, a class of another kind, an
///         angle's nominal that is none between two faces, twice the same face
void read_forms(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
