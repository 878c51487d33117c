#include "tolerance_keys.hpp"

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {

bool has_class(const PlanTable& table, const std::vector<std::string>& instead,
               const std::string& what) {
  std::string listed;
  for (const std::string& key : instead) {
    if (!table.has("class")) table.need(key, what + "; or 'class'");
    listed += (listed.empty() ? "'" : " and '") + key + "'";
  }
  if (!table.has("class")) return false;
  for (const std::string& key : instead)
    if (table.has(key)) table.fail(table.at(key), "expected 'class' or " + listed + ", found both");
  return true;
}

GeneralTolerance class_of(const PlanTable& table, const std::vector<GeneralTolerance>& classes,
                          const std::string& what) {
  const std::string name = *table.text("class");
  std::vector<std::string> known;
  std::string listed;
  for (const GeneralTolerance& one : classes) {
    if (one.name == name) return one;
    known.push_back(one.name);
    listed += (listed.empty() ? "" : ", ") + one.name;
  }
  table.fail(table.at("class"),
             "expected a class of " + what + " for 'class', found '" + printable(name) + "'" +
                 did_you_mean(name, known),
             "Known are: " + listed);
}

std::variant<Band, GeneralTolerance> size_allowed(const PlanTable& table,
                                                  const std::optional<double>& nominal_mm,
                                                  const std::string& what,
                                                  const std::string& nothing) {
  if (!has_class(table, {"over", "under"}, what)) {
    const Band band{*table.number("over", kNotNegative), *table.number("under", kNotNegative)};
    if (band.over_mm + band.under_mm <= 0.0)
      table.fail(table.at("over"), "expected 'over' or 'under' above 0, found both 0", nothing);
    return band;
  }
  GeneralTolerance tolerance = class_of(table, general_tolerances(), "linear tolerances");
  if (nominal_mm && !tolerance.allowed_at(*nominal_mm))
    table.fail(table.at("class"),
               tolerance.name + " gives no tolerance for " + shortest(*nominal_mm) + " mm",
               "Give 'over' and 'under'");
  return tolerance;
}

}  // namespace trammel::read
