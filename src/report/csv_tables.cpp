#include "trammel/report/csv_tables.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/slot_words.hpp"

namespace trammel {
namespace {

std::string csv_number(double value) {
  return std::isfinite(value) ? shortest(value) : std::string();
}

std::string csv_number(const std::optional<double>& value) {
  return value ? csv_number(*value) : std::string();
}

std::string csv_place(const Eigen::Vector3d& value) {
  return csv_number(value.x()) + "," + csv_number(value.y()) + "," + csv_number(value.z());
}

std::string region_line(const Region& region) {
  return std::to_string(region.id) + "," + kind_name(region.kind) + "," +
         csv_number(region.peak_mm) + "," + csv_number(region.mean_mm) + "," +
         csv_number(region.limit_mm) + "," + csv_number(region.area_mm2) + "," +
         csv_place(region.center_mm) + "," + csv_place(region.normal) + "," +
         std::to_string(region.points) + "," + csv_text(region.zone) + "," +
         outcome_name(region.outcome) + kCsvLineEnd;
}

std::string hole_line(const Inspection& inspection, const HoleResult& hole) {
  const HoleCheck* check = check_of(inspection.plan, hole.name);
  const Limits* limits = check != nullptr && check->diameter_mm ? &*check->diameter_mm : nullptr;
  return csv_text(hole.name) + "," + csv_place(hole.nominal_mm) + "," +
         csv_number(hole.nominal_diameter_mm) + "," + csv_number(hole.position_mm) + "," +
         (check != nullptr ? csv_number(check->position_mm) : "") + "," +
         (hole.offset_mm ? csv_place(*hole.offset_mm) : ",,") + "," + csv_number(hole.diameter_mm) +
         "," + (limits != nullptr ? csv_number(limits->low_mm) : "") + "," +
         (limits != nullptr ? csv_number(limits->high_mm) : "") + "," +
         std::to_string(hole.points) + "," +
         csv_text(hole.reasons.empty() ? "" : hole.reasons.front()) + "," +
         outcome_name(hole.outcome) + "," + round_word(hole.kind) + "," + csv_number(hole.tilt_mm) +
         kCsvLineEnd;
}

/// An angle in degrees.
std::string csv_form(const std::optional<double>& value, FormKind kind) {
  if (!value) return {};
  return csv_number(kind == FormKind::Angle ? *value / kDegree : *value);
}

std::string csv_limits(const std::optional<Limits>& limits) {
  return limits ? csv_number(limits->low_mm) + "," + csv_number(limits->high_mm) : ",";
}

std::string slot_line(const Inspection& inspection, const SlotResult& slot) {
  const SlotCheck* check = slot_check_of(inspection.plan, slot.name);
  const SlotCheck asked = check != nullptr ? *check : SlotCheck{};
  return csv_text(slot.name) + "," + state_name(slot.state) + "," + csv_place(slot.nominal_mm) +
         "," + csv_number(slot.nominal_width_mm) + "," + csv_number(slot.nominal_length_mm) + "," +
         csv_number(slot.position_mm) + "," + csv_number(asked.position_mm) + "," +
         (slot.offset_mm ? csv_place(*slot.offset_mm) : ",,") + "," +
         csv_form(slot.turn_rad, FormKind::Angle) + "," + csv_number(slot.width_mm) + "," +
         csv_limits(asked.width_mm) + "," + csv_number(slot.length_mm) + "," +
         csv_limits(asked.length_mm) + "," + std::to_string(slot.points) + "," +
         csv_text(slot.reasons.empty() ? "" : slot.reasons.front()) + "," +
         outcome_name(slot.outcome) + kCsvLineEnd;
}

std::string distance_line(const DistanceResult& distance) {
  const bool measured = distance.actual_mm.has_value();
  return csv_text(distance.name) + "," + csv_number(distance.nominal_mm) + "," +
         csv_number(distance.least_mm) + "," + csv_number(distance.most_mm) + "," +
         csv_text(distance.tolerance_class) + "," + csv_number(distance.drawn_mm) + "," +
         csv_number(distance.actual_mm) + "," +
         (measured ? csv_number(distance.uncertainty_mm) : "") + "," + csv_place(distance.from_mm) +
         "," + csv_place(distance.to_mm) + "," + csv_text(distance.measured_as) + "," +
         csv_text(distance.reasons.empty() ? "" : distance.reasons.front()) + "," +
         outcome_name(distance.outcome) + kCsvLineEnd;
}

std::string form_line(const FormResult& form) {
  const auto figure = [&](const std::optional<double>& value) {
    return csv_form(value, form.kind);
  };
  return csv_text(form.name) + "," + form_name(form.kind) + "," +
         (form.kind == FormKind::Angle ? "degrees," : "mm,") + figure(form.nominal) + "," +
         figure(form.least) + "," + figure(form.most) + "," + csv_text(form.tolerance_class) + "," +
         figure(form.actual) + "," + figure(form.lowest) + "," + figure(form.highest) + "," +
         (form.actual ? figure(form.uncertainty) : "") + "," + csv_place(form.at_mm) + "," +
         (form.other_mm ? csv_place(*form.other_mm) : ",,") + "," + csv_text(form.measured_as) +
         "," + csv_text(form.reasons.empty() ? "" : form.reasons.front()) + "," +
         outcome_name(form.outcome) + kCsvLineEnd;
}

}  // namespace

std::string csv_text(std::string_view text) {
  std::string out = "\"";
  const std::string words = printable(text);
  // Blanks in front do not keep a spreadsheet from seeing a formula.
  const std::size_t first = words.find_first_not_of(" \t");
  const std::string_view rest = std::string_view(words).substr(std::min(first, words.size()));
  for (const char* sign :
       {"=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"})  // wide ones too
    if (rest.substr(0, std::string_view(sign).size()) == sign) out += '\'';
  for (const char c : words) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

std::string regions_csv(const Inspection& inspection) {
  std::string csv = std::string(
                        "id,kind,peak_mm,mean_mm,limit_mm,area_mm2,x_mm,y_mm,z_mm,normal_x,"
                        "normal_y,normal_z,points,zone,verdict") +
                    kCsvLineEnd;
  for (const Region& region : inspection.verdict.regions)
    csv += region_line(region);
  return csv;
}

std::string holes_csv(const Inspection& inspection) {
  std::string csv = std::string(
                        "name,x_mm,y_mm,z_mm,nominal_diameter_mm,position_mm,position_allowed_mm,"
                        "offset_x_mm,offset_y_mm,offset_z_mm,diameter_mm,diameter_least_mm,"
                        "diameter_most_mm,points,reason,verdict,kind,tilt_mm") +
                    kCsvLineEnd;
  for (const HoleResult& hole : inspection.verdict.holes)
    csv += hole_line(inspection, hole);
  return csv;
}

std::string slots_csv(const Inspection& inspection) {
  std::string csv = std::string(
                        "name,state,x_mm,y_mm,z_mm,nominal_width_mm,nominal_length_mm,position_mm,"
                        "position_allowed_mm,offset_x_mm,offset_y_mm,offset_z_mm,turn_deg,width_mm,"
                        "width_least_mm,width_most_mm,length_mm,length_least_mm,length_most_mm,"
                        "points,reason,verdict") +
                    kCsvLineEnd;
  for (const auto* slots : {&inspection.verdict.slots, &inspection.verdict.other_slots})
    for (const SlotResult& slot : *slots)
      csv += slot_line(inspection, slot);
  return csv;
}

std::string distances_csv(const Inspection& inspection) {
  std::string csv = std::string(
                        "name,nominal_mm,least_mm,most_mm,class,drawn_mm,actual_mm,uncertainty_mm,"
                        "from_x_mm,from_y_mm,from_z_mm,to_x_mm,to_y_mm,to_z_mm,measured_as,reason,"
                        "verdict") +
                    kCsvLineEnd;
  for (const DistanceResult& distance : inspection.verdict.distances)
    csv += distance_line(distance);
  return csv;
}

std::string forms_csv(const Inspection& inspection) {
  std::string csv = std::string(
                        "name,kind,unit,nominal,least,most,class,actual,lowest,highest,uncertainty,"
                        "x_mm,y_mm,z_mm,other_x_mm,other_y_mm,other_z_mm,measured_as,reason,"
                        "verdict") +
                    kCsvLineEnd;
  for (const FormResult& form : inspection.verdict.forms)
    csv += form_line(form);
  return csv;
}

}  // namespace trammel
