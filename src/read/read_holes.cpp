#include "read_holes.hpp"

#include <utility>

#include "read_slots.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {
namespace {

/// What holes and pins have in common.
HoleCheck round_check(const PlanTable& table, RoundKind kind, const Plan& plan) {
  table.need("name", "what the sheet calls it");
  table.need("at", "a point of the design near it");
  HoleCheck check;
  check.kind = kind;
  check.name = *table.text("name");
  if (const HoleCheck* other = check_of(plan, check.name)) {
    table.fail_name_taken(round_word(other->kind), "Give every hole and pin another name");
  }
  const auto at = *table.numbers("at", 3);
  check.at_mm = {at[0], at[1], at[2]};
  check.position_mm = table.number("position", kPositive);
  check.diameter_mm = limits_of_size(table, "diameter");
  return check;
}

void read_bolt(const PlanTable& table, HoleCheck& hole) {
  hole.bolt_mm = table.number("bolt", kPositive);
  if (hole.bolt_mm) {
    if (const auto drilled = clearance_hole(*hole.bolt_mm)) hole.clearance_mm = drilled->fine_mm;
  }
  hole.group = table.text("group").value_or("");
  if (table.has("group") && !hole.bolt_mm) {
    table.fail(table.at("group"), "expected 'bolt' beside 'group', found none",
               "Say what has to go through the hole");
  }
}

}  // namespace

void read_holes(const PlanTable& root, const std::string& file, Plan& plan) {
  int number = 0;
  for (const toml::table* found : root.tables("hole")) {
    const PlanTable table(*found, file, "hole " + std::to_string(++number),
                          {"name", "at", "position", "diameter", "bolt", "group"});
    HoleCheck hole = round_check(table, RoundKind::Hole, plan);
    read_bolt(table, hole);
    plan.holes.push_back(std::move(hole));
  }
  number = 0;
  for (const toml::table* found : root.tables("pin")) {
    const PlanTable table(*found, file, "pin " + std::to_string(++number),
                          {"name", "at", "position", "diameter"});
    plan.holes.push_back(round_check(table, RoundKind::Pin, plan));
  }
}

}  // namespace trammel::read
