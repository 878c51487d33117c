#include "read_distances.hpp"

#include "tolerance_keys.hpp"
#include "trammel/base/text.hpp"

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
    check.allowed =
        size_allowed(table, check.nominal_mm, "how much longer or shorter it may be, mm",
                     "No distance can be proven to be exact");
    plan.distances.push_back(std::move(check));
  }
}

}  // namespace trammel::read
