#include "read_slots.hpp"

#include <utility>

#include "trammel/base/numbers.hpp"

namespace trammel::read {

std::optional<Limits> limits_of_size(const PlanTable& table, const std::string& key) {
  const auto given = table.numbers(key, 2);
  if (!given) return std::nullopt;
  const Limits limits{(*given)[0], (*given)[1]};
  if (limits.low_mm <= 0.0 || limits.low_mm > limits.high_mm) {
    table.fail(table.at(key), "expected a lower and then an upper limit above 0 for '" + key +
                                  "', found " + shortest(limits.low_mm) + " and " +
                                  shortest(limits.high_mm));
  }
  return limits;
}

void read_slots(const PlanTable& root, const std::string& file, Plan& plan) {
  int number = 0;
  for (const toml::table* found : root.tables("slot")) {
    const PlanTable table(*found, file, "slot " + std::to_string(++number),
                          {"name", "at", "position", "width", "length"});
    table.need("name", "what the sheet calls it");
    table.need("at", "a point of the design near it");
    SlotCheck slot;
    slot.name = *table.text("name");
    if (slot_check_of(plan, slot.name) != nullptr)
      table.fail_name_taken("slot", "Give every slot another name");
    const auto at = *table.numbers("at", 3);
    slot.at_mm = {at[0], at[1], at[2]};
    slot.position_mm = table.number("position", kPositive);
    slot.width_mm = limits_of_size(table, "width");
    slot.length_mm = limits_of_size(table, "length");
    if (slot.width_mm && slot.length_mm && slot.length_mm->high_mm <= slot.width_mm->low_mm) {
      table.fail(table.at("length"),
                 "expected a 'length' above 'width', found at most " +
                     shortest(slot.length_mm->high_mm) + " for a width of at least " +
                     shortest(slot.width_mm->low_mm),
                 "The length is measured over both rounded ends");
    }
    plan.slots.push_back(std::move(slot));
  }
}

}  // namespace trammel::read
