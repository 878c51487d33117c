#include "read_forms.hpp"

#include <variant>

#include "tolerance_keys.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {
namespace {

/// Below and above these the faces are parallel: no angle of a drawing.
constexpr NumberRange kAngle_deg{1.0, 179.0};
constexpr NumberRange kAngleOff_deg{0.0, 90.0};

double rad_from_deg(double degrees) {
  return degrees * kDegree;
}

Eigen::Vector3d place_on_face(const PlanTable& table, const std::string& key) {
  table.need(key, "[x, y, z] on a flat face of the design");
  const auto values = *table.numbers(key, 3);
  return {values[0], values[1], values[2]};
}

const std::vector<GeneralTolerance>& classes_of_zone(FormKind kind) {
  if (kind == FormKind::Flatness) return flatness_tolerances();
  return kind == FormKind::Parallelism ? parallelism_tolerances() : perpendicularity_tolerances();
}

decltype(FormCheck::allowed) zone_of(const PlanTable& table, FormKind kind) {
  if (!has_class(table, {"tolerance"}, "width of the zone, mm"))
    return *table.number("tolerance", kPositive);
  return class_of(table, classes_of_zone(kind), form_name(kind));
}

decltype(FormCheck::allowed) angle_band_of(const PlanTable& table) {
  if (has_class(table, {"over", "under"}, "how much wider or narrower it may be, degrees"))
    return class_of(table, angular_tolerances(), "angular tolerances");
  const AngleBand band{rad_from_deg(*table.number("over", kAngleOff_deg)),
                       rad_from_deg(*table.number("under", kAngleOff_deg))};
  if (band.over_rad + band.under_rad <= 0.0)
    table.fail(table.at("over"), "expected 'over' or 'under' above 0, found both 0",
               "No angle can be proven to be exact");
  return band;
}

decltype(FormCheck::allowed) thickness_of(const PlanTable& table, const FormCheck& check) {
  const auto allowed =
      size_allowed(table, check.nominal, "how much thicker or thinner it may be, mm",
                   "No thickness can be proven to be exact");
  return std::visit([](const auto& one) { return decltype(FormCheck::allowed)(one); }, allowed);
}

void read_other(const PlanTable& table, const std::string& key, FormCheck& check) {
  check.other_mm = place_on_face(table, key);
  if (*check.other_mm == check.at_mm)
    table.fail(table.at(key), "expected another face for '" + key + "', found the same place");
}

FormCheck check_of(const PlanTable& table, FormKind kind) {
  table.need("name", "what the sheet calls it");
  FormCheck check;
  check.kind = kind;
  check.name = *table.text("name");
  check.at_mm = place_on_face(table, kind == FormKind::Angle ? "from" : "at");
  switch (kind) {
    case FormKind::Flatness: check.allowed = zone_of(table, kind); break;
    case FormKind::Parallelism:
    case FormKind::Perpendicularity:
      read_other(table, "datum", check);
      check.allowed = zone_of(table, kind);
      break;
    case FormKind::Angle:
      read_other(table, "to", check);
      if (const auto nominal = table.number("nominal", kAngle_deg))
        check.nominal = rad_from_deg(*nominal);
      check.allowed = angle_band_of(table);
      break;
    case FormKind::Thickness:
      check.nominal = table.number("nominal", kPositive);
      check.allowed = thickness_of(table, check);
      break;
  }
  return check;
}

struct Kind {
  FormKind kind;
  std::vector<std::string> keys;
};

}  // namespace

void read_forms(const PlanTable& root, const std::string& file, Plan& plan) {
  const Kind kinds[] = {
      {FormKind::Flatness, {"name", "at", "tolerance", "class"}},
      {FormKind::Parallelism, {"name", "at", "datum", "tolerance", "class"}},
      {FormKind::Perpendicularity, {"name", "at", "datum", "tolerance", "class"}},
      {FormKind::Angle, {"name", "from", "to", "nominal", "over", "under", "class"}},
      {FormKind::Thickness, {"name", "at", "nominal", "over", "under", "class"}}};
  for (const Kind& kind : kinds) {
    int number = 0;
    for (const toml::table* found : root.tables(form_name(kind.kind))) {
      const std::string path = form_name(kind.kind) + " " + std::to_string(++number);
      plan.forms.push_back(check_of(PlanTable(*found, file, path, kind.keys), kind.kind));
    }
  }
}

}  // namespace trammel::read
