#include "read_mates.hpp"

#include <algorithm>

#include "trammel/base/text.hpp"

namespace trammel::read {
namespace {

constexpr std::size_t kFewestBolts = 2;

/// Names of the groups that bolted holes are in, each once, in the plan's order.
std::vector<std::string> bolted_groups(const Plan& plan) {
  std::vector<std::string> groups;
  for (const HoleCheck& hole : plan.holes)
    if (hole.bolt_mm && std::find(groups.begin(), groups.end(), hole.group) == groups.end())
      groups.push_back(hole.group);
  return groups;
}

/// The group that a mate names; where it names none, the only one there is.
std::string group_of(const PlanTable& table, const toml::table& found, const Plan& plan) {
  const std::vector<std::string> groups = bolted_groups(plan);
  if (groups.empty())
    table.fail(found, "expected a [[hole]] with 'bolt' for the mate, found none",
               "Say which holes of the part the bolts go through");
  if (const auto name = table.text("group")) {
    if (std::find(groups.begin(), groups.end(), *name) != groups.end()) return *name;
    table.fail(table.at("group"), "expected the 'group' of a [[hole]] with 'bolt', found '" +
                                      printable(*name) + "'" + did_you_mean(*name, groups));
  }
  if (groups.size() > 1)
    table.fail(found, "expected 'group': the plan's bolted holes are in more than one, found none",
               "Say whose bolts these are");
  return groups.front();
}

std::vector<Eigen::Vector3d> places_of(const PlanTable& table) {
  const toml::array* array = table.at("at").as_array();
  const bool of_places = array != nullptr && !array->empty() && array->front().is_array();
  if (!of_places)
    table.fail(table.at("at"), "expected [[x, y, z], ...] for 'at', one place a bolted hole");
  std::vector<Eigen::Vector3d> places;
  for (const toml::node& node : *array) {
    const auto values = table.finite_numbers(node, "at", 3);
    places.emplace_back(values[0], values[1], values[2]);
  }
  return places;
}

void check_count(const PlanTable& table, const MateCheck& mate, const Plan& plan) {
  const std::size_t holes = bolted_holes(plan, mate.group).size();
  if (holes < kFewestBolts)
    table.fail(table.at("at"),
               "expected two bolted holes or more for a mate, found " + std::to_string(holes),
               "One bolt by itself has no pattern");
  if (mate.at.size() == holes) return;
  table.fail(table.at("at"),
             "expected " + std::to_string(holes) +
                 " places for 'at', as many as bolted holes, found " +
                 std::to_string(mate.at.size()),
             "Give them in the order of the plan's holes");
}

}  // namespace

void read_mates(const PlanTable& root, const std::string& file, Plan& plan) {
  for (const toml::table* found : root.tables("mate")) {
    const PlanTable table(*found, file, "mate " + std::to_string(plan.mates.size() + 1),
                          {"scan", "units", "group", "face", "at", "uncertainty"});
    table.need("scan", "the scan of what the part is bolted to");
    table.need("face", "a point of the design's face that lies on it");
    table.need("at", "a place near each hole or stud in that scan");
    MateCheck mate;
    const std::string scan = *table.text("scan");
    if (scan.empty()) table.fail(table.at("scan"), "expected a file for 'scan', found ''");
    mate.scan = std::filesystem::u8path(scan);
    mate.scan_path = plan.file.parent_path() / mate.scan;
    mate.units = table.unit("units", {"mm", "cm", "m", "in"}, Unit::Mm);
    mate.group = group_of(table, *found, plan);
    const auto face = *table.numbers("face", 3);
    mate.face_mm = {face[0], face[1], face[2]};
    mate.at = places_of(table);
    mate.uncertainty_mm = table.number("uncertainty", kNotNegative);
    check_count(table, mate, plan);
    if (mate_of(plan, mate.group) != nullptr)
      table.fail(table.at("group"), "expected one mate for a group, found two");
    plan.mates.push_back(std::move(mate));
  }
}

}  // namespace trammel::read
