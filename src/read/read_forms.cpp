#include "read_forms.hpp"

#include "read_distances.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/read/tolerance_tables.hpp"

namespace trammel::read {
namespace {

/// Below and above these the faces are parallel: no angle of a drawing.
constexpr NumberRange kAngle_deg{1.0, 179.0};
constexpr NumberRange kAngleOff_deg{0.0, 90.0};

double rad_from_deg(double degrees) {
  return degrees * kPi / 180.0;
}

Eigen::Vector3d place_on_face(const PlanTable& table, const std::string& key) {
  table.need(key, "[x, y, z] on a flat face of the design");
  const auto values = *table.numbers(key, 3);
  return {values[0], values[1], values[2]};
}

/// 'class', or the keys that stand for it; not both.
bool has_class(const PlanTable& table, const std::vector<std::string>& instead) {
  if (!table.has("class")) {
    for (const std::string& key : instead)
      table.need(key, "how much is allowed; or 'class'");
    return false;
  }
  for (const std::string& key : instead)
    if (table.has(key)) table.fail(table.at(key), "expected 'class' or '" + key + "', found both");
  return true;
}

decltype(FormCheck::allowed) zone_of(const PlanTable& table, FormKind kind) {
  if (!has_class(table, {"tolerance"})) return *table.number("tolerance", kPositive);
  return class_of(table,
                  kind == FormKind::Flatness ? flatness_tolerances() : parallelism_tolerances(),
                  form_name(kind));
}

decltype(FormCheck::allowed) angle_band_of(const PlanTable& table) {
  if (has_class(table, {"over", "under"}))
    return class_of(table, angular_tolerances(), "angular tolerances");
  const AngleBand band{rad_from_deg(*table.number("over", kAngleOff_deg)),
                       rad_from_deg(*table.number("under", kAngleOff_deg))};
  if (band.over_rad + band.under_rad <= 0.0)
    table.fail(table.at("over"), "expected 'over' or 'under' above 0, found both 0",
               "No angle can be proven to be exact");
  return band;
}

/// One of a kind, its keys but for the tolerance.
FormCheck check_of(const PlanTable& table, FormKind kind) {
  table.need("name", "what the sheet calls it");
  FormCheck check;
  check.kind = kind;
  check.name = *table.text("name");
  const bool is_angle = kind == FormKind::Angle;
  check.at_mm = place_on_face(table, is_angle ? "from" : "at");
  if (kind == FormKind::Flatness) return check;
  const std::string other = is_angle ? "to" : "datum";
  check.other_mm = place_on_face(table, other);
  if (*check.other_mm == check.at_mm)
    table.fail(table.at(other), "expected another face for '" + other + "', found the same place");
  if (const auto nominal = is_angle ? table.number("nominal", kAngle_deg) : std::nullopt)
    check.nominal_rad = rad_from_deg(*nominal);
  return check;
}

}  // namespace

void read_forms(const PlanTable& root, const std::string& file, Plan& plan) {
  struct Kind {
    FormKind kind;
    std::vector<std::string> keys;
  };
  const Kind kinds[] = {
      {FormKind::Flatness, {"name", "at", "tolerance", "class"}},
      {FormKind::Parallelism, {"name", "at", "datum", "tolerance", "class"}},
      {FormKind::Angle, {"name", "from", "to", "nominal", "over", "under", "class"}}};
  for (const Kind& kind : kinds) {
    int number = 0;
    for (const toml::table* found : root.tables(form_name(kind.kind))) {
      const PlanTable table(*found, file, form_name(kind.kind) + " " + std::to_string(++number),
                            kind.keys);
      FormCheck check = check_of(table, kind.kind);
      check.allowed =
          kind.kind == FormKind::Angle ? angle_band_of(table) : zone_of(table, kind.kind);
      plan.forms.push_back(std::move(check));
    }
  }
}

}  // namespace trammel::read
