#include "read_distances.hpp"

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {
namespace {

std::string hole_of(const PlanTable& table, const std::string& key, const Plan& plan) {
  const std::string name = *table.text(key);
  std::vector<std::string> known;
  for (const HoleCheck& hole : plan.holes) {
    if (hole.name == name) return name;
    known.push_back(hole.name);
  }
  table.fail(table.at(key),
             "expected the name of a [[hole]] for '" + key + "', found '" + printable(name) + "'" +
                 did_you_mean(name, known),
             "Or give [x, y, z] on a flat face of the design");
}

DistanceEnd end_of(const PlanTable& table, const std::string& key, const Plan& plan) {
  table.need(key, "the name of a [[hole]], or [x, y, z] on a flat face of the design");
  if (table.at(key).is_string()) return hole_of(table, key, plan);
  const auto values = *table.numbers(key, 3);
  return Eigen::Vector3d(values[0], values[1], values[2]);
}

GeneralTolerance class_of(const PlanTable& table) {
  const std::string name = *table.text("class");
  std::vector<std::string> known;
  std::string listed;
  for (const GeneralTolerance& one : general_tolerances()) {
    if (one.name == name) return one;
    known.push_back(one.name);
    listed += (listed.empty() ? "" : ", ") + one.name;
  }
  table.fail(table.at("class"),
             "expected a class of linear tolerances for 'class', found '" + printable(name) + "'" +
                 did_you_mean(name, known),
             "Known are: " + listed);
}

Band band_of(const PlanTable& table) {
  for (const char* key : {"over", "under"})
    table.need(key, "how much longer or shorter it may be, mm; or 'class'");
  const Band band{*table.number("over", kNotNegative), *table.number("under", kNotNegative)};
  if (band.over_mm + band.under_mm <= 0.0)
    table.fail(table.at("over"), "expected 'over' or 'under' above 0, found both 0",
               "No distance can be proven to be exact");
  return band;
}

std::variant<Band, GeneralTolerance> allowed_of(const PlanTable& table,
                                                const DistanceCheck& check) {
  if (!table.has("class")) return band_of(table);
  for (const char* key : {"over", "under"})
    if (table.has(key))
      table.fail(table.at(key), "expected 'class' or 'over' and 'under', found both");
  GeneralTolerance tolerance = class_of(table);
  if (check.nominal_mm && !tolerance.allowed_at(*check.nominal_mm))
    table.fail(table.at("class"),
               tolerance.name + " gives no tolerance for " + shortest(*check.nominal_mm) + " mm",
               "Give 'over' and 'under'");
  return tolerance;
}

}  // namespace

void read_distances(const PlanTable& root, const std::string& file, Plan& plan) {
  for (const toml::table* found : root.tables("distance")) {
    const PlanTable table(*found, file, "distance " + std::to_string(plan.distances.size() + 1),
                          {"name", "from", "to", "nominal", "over", "under", "class"});
    table.need("name", "what the sheet calls it");
    DistanceCheck check;
    check.name = *table.text("name");
    check.from = end_of(table, "from", plan);
    check.to = end_of(table, "to", plan);
    if (check.from == check.to)
      table.fail(table.at("to"), "expected another end for 'to' than for 'from', found the same");
    check.nominal_mm = table.number("nominal", kPositive);
    check.allowed = allowed_of(table, check);
    plan.distances.push_back(std::move(check));
  }
}

}  // namespace trammel::read
