#include <CLI/CLI.hpp>

#include "commands.hpp"
#include "trammel/read/choose_units.hpp"

namespace trammel::app {

void add_unit_option(CLI::App& command, UnitOption& option) {
  command.add_option("--units", option.name, "Of the file (default: from its size)")
      ->check(CLI::IsMember({"auto", "mm", "cm", "m", "in"}))
      ->option_text("UNIT");
}

Unit unit_of(const UnitOption& option) {
  for (const Unit unit : {Unit::Mm, Unit::Cm, Unit::M, Unit::Inch})
    if (unit_name(unit) == option.name) return unit;
  return Unit::Auto;
}

UnitChoice unit_of_file(const UnitOption& option, double diagonal) {
  return unit_of_lone_file(unit_of(option), diagonal);
}

}  // namespace trammel::app
