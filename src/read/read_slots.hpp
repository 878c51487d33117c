#pragma once

/// The slots of a plan, and limits of size.

#include "plan_table.hpp"

namespace trammel::read {

/// `[least, most]` of a size, mm; nothing when the key is absent.
/// @throws Error Input when they are not above 0 and in this order
[[nodiscard]] std::optional<Limits> limits_of_size(const PlanTable& table, const std::string& key);

/// Every [[slot]] into `plan.slots`.
/// @param root  the plan's own table
/// @param file  for messages
void read_slots(const PlanTable& root, const std::string& file, Plan& plan);

}  // namespace trammel::read
