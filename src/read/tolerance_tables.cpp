#include "trammel/read/tolerance_tables.hpp"

#include <cmath>

#include "plan_table.hpp"
#include "table_files.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

using read::PlanTable;

/// A table file as TOML, its faults told as those of a plan.
toml::table parsed_table(std::string_view text, const std::string& file) {
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    throw Error(ErrorKind::Input, read::place_words(file, error.source()),
                "expected a table in TOML, found a fault: " + std::string(error.description()));
  }
}

const toml::array& array_of(const PlanTable& table, const std::string& key) {
  table.need(key, "an array");
  const toml::array* array = table.at(key).as_array();
  if (array == nullptr || array->empty())
    table.fail(table.at(key), "expected an array of values for '" + key + "'");
  return *array;
}

/// Numbers above 0 that rise; the last may be infinite.
std::vector<double> rising(const PlanTable& table, const std::string& key) {
  std::vector<double> values;
  for (const toml::node& node : array_of(table, key)) {
    const double value = node.value<double>().value_or(std::nan(""));
    if (!(value > (values.empty() ? 0.0 : values.back())))
      table.fail(node, "expected numbers above 0 that rise in '" + key + "'");
    values.push_back(value);
  }
  return values;
}

void check_count(const PlanTable& table, const std::string& key, std::size_t count,
                 std::size_t wanted) {
  if (count == wanted) return;
  table.fail(table.at(key), "expected " + std::to_string(wanted) + " values for '" + key +
                                "', found " + std::to_string(count));
}

/// What a value of the table is worth in mm or radians.
double value_of_one(const PlanTable& root) {
  const std::string unit = root.text("values").value_or("mm");
  if (unit == "mm") return 1.0;
  if (unit == "minutes of arc") return kPi / (60.0 * 180.0);
  root.fail(root.at("values"), "expected \"mm\" or \"minutes of arc\" for 'values'");
}

std::vector<GeneralTolerance::Step> steps_of(const PlanTable& classes, const std::string& letter,
                                             const std::vector<double>& up_to_mm, double one) {
  const toml::array& values = array_of(classes, letter);
  check_count(classes, letter, values.size(), up_to_mm.size());
  std::vector<GeneralTolerance::Step> steps;
  for (std::size_t i = 0; i < up_to_mm.size(); ++i) {
    if (values[i].value<std::string>() == "none") {
      steps.push_back({up_to_mm[i], std::nullopt});
      continue;
    }
    const double allowed = classes.finite_number(values[i], letter);
    if (!(allowed > 0.0)) classes.fail(values[i], "expected \"none\" or a number above 0");
    steps.push_back({up_to_mm[i], allowed * one});
  }
  return steps;
}

/// One kind of hole: wider than its bolt, and no narrower than the kind before.
std::vector<double> wider(const PlanTable& table, const std::string& key,
                          const std::vector<double>& than_mm) {
  const std::vector<double> values = rising(table, key);
  check_count(table, key, values.size(), than_mm.size());
  for (std::size_t i = 0; i < values.size(); ++i)
    if (!(values[i] > than_mm[i]))
      table.fail(table.at(key), "expected holes wider than " + shortest(than_mm[i]) + " in '" +
                                    key + "', found " + shortest(values[i]));
  return values;
}

std::vector<GeneralTolerance> joined(std::vector<GeneralTolerance> first,
                                     const std::vector<GeneralTolerance>& second) {
  first.insert(first.end(), second.begin(), second.end());
  return first;
}

}  // namespace

std::vector<GeneralTolerance> parse_tolerance_table(std::string_view text,
                                                    const std::string& file) {
  const toml::table parsed = parsed_table(text, file);
  const PlanTable root(parsed, file, "",
                       {"standard", "call", "values", "least", "up_to", "classes"});
  for (const char* key : {"standard", "call", "least", "classes"})
    root.need(key, "of the standard");
  const std::vector<double> up_to_mm = rising(root, "up_to");
  const double least_mm = *root.number("least", {0.0, up_to_mm.front()});
  const double one = value_of_one(root);
  const toml::table& letters = *root.table("classes");
  std::vector<std::string> names;
  for (const auto& [key, value] : letters)
    names.emplace_back(key.str());
  const PlanTable classes(letters, file, "classes", names);
  std::vector<GeneralTolerance> out;
  for (const std::string& letter : names)
    out.push_back(
        {*root.text("call") + "-" + letter, least_mm, steps_of(classes, letter, up_to_mm, one)});
  return out;
}

std::vector<ClearanceHole> parse_clearance_table(std::string_view text, const std::string& file) {
  const toml::table parsed = parsed_table(text, file);
  const PlanTable root(parsed, file, "", {"standard", "bolt", "fine", "medium", "coarse"});
  const std::vector<double> bolt = rising(root, "bolt");
  const std::vector<double> fine = wider(root, "fine", bolt);
  const std::vector<double> medium = wider(root, "medium", fine);
  const std::vector<double> coarse = wider(root, "coarse", medium);
  std::vector<ClearanceHole> out;
  for (std::size_t i = 0; i < bolt.size(); ++i)
    out.push_back({bolt[i], fine[i], medium[i], coarse[i]});
  return out;
}

const std::vector<GeneralTolerance>& general_tolerances() {
  static const auto all = joined(parse_tolerance_table(kIso2768Table, "iso-2768-1.toml"),
                                 parse_tolerance_table(kIso13920Table, "iso-13920.toml"));
  return all;
}

const std::vector<GeneralTolerance>& angular_tolerances() {
  static const auto all =
      joined(parse_tolerance_table(kIso2768AnglesTable, "iso-2768-1-angles.toml"),
             parse_tolerance_table(kIso13920AnglesTable, "iso-13920-angles.toml"));
  return all;
}

const std::vector<GeneralTolerance>& flatness_tolerances() {
  static const auto all =
      joined(parse_tolerance_table(kIso2768FlatnessTable, "iso-2768-2.toml"),
             parse_tolerance_table(kIso13920FlatnessTable, "iso-13920-flatness.toml"));
  return all;
}

const std::vector<GeneralTolerance>& parallelism_tolerances() {
  static const auto all = parse_tolerance_table(kIso13920FlatnessTable, "iso-13920-flatness.toml");
  return all;
}

const std::vector<GeneralTolerance>& perpendicularity_tolerances() {
  static const auto all =
      parse_tolerance_table(kIso2768SquareTable, "iso-2768-2-perpendicularity.toml");
  return all;
}

const std::vector<ClearanceHole>& clearance_holes() {
  static const std::vector<ClearanceHole> all = parse_clearance_table(kIso273Table, "iso-273.toml");
  return all;
}

std::optional<ClearanceHole> clearance_hole(double bolt_mm) {
  for (const ClearanceHole& hole : clearance_holes())
    if (hole.bolt_mm == bolt_mm) return hole;
  return std::nullopt;
}

}  // namespace trammel
