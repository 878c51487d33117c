#include "trammel/report/overview_tables.hpp"

#include <cmath>

#include "json_text.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/csv_tables.hpp"

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

/// The sheet's folder, where there is one.
std::string sheet_of(const OverviewEntry& entry) {
  return entry.state == ScanState::Checked ? printable(entry.folder) : std::string();
}

std::string outcome_words(const OverviewEntry& entry) {
  return entry.outcome ? outcome_name(*entry.outcome) : std::string();
}

std::string code_words(const OverviewEntry& entry) {
  return entry.state == ScanState::Waiting ? std::string()
                                           : std::to_string(static_cast<int>(entry.code));
}

/// ",deviation,limit"
std::string reading_cells(const NearestReading& reading) {
  return reading.found ? "," + shortest(reading.deviation_mm) + "," + shortest(reading.limit_mm)
                       : ",,";
}

std::string csv_line(const OverviewEntry& entry) {
  const bool checked = entry.state == ScanState::Checked;
  std::string line = csv_text(entry.scan) + "," + csv_text(sheet_of(entry)) + "," +
                     outcome_words(entry) + "," + code_words(entry) + "," + csv_text(entry.worst) +
                     reading_cells(entry.proud) + reading_cells(entry.shy);
  line += entry.hole ? "," + csv_text(entry.hole->name) + "," + shortest(entry.hole->position_mm) +
                           "," + shortest(entry.hole->allowed_mm)
                     : ",,,";
  line += "," + (entry.bolts_up ? outcome_name(*entry.bolts_up) : std::string());
  line += "," + (checked ? shortest(entry.seen_fraction) : std::string());
  line += "," + (checked ? shortest(entry.uncertainty_mm) : std::string());
  return line + "," + csv_text(entry.error) + kCsvLineEnd;
}

Json words_or_null(const std::string& words) {
  return words.empty() ? Json(nullptr) : Json(printable(words));
}

Json reading_json(const NearestReading& reading) {
  if (!reading.found) return nullptr;
  return {{"deviation", json_number(reading.deviation_mm)},
          {"limit", json_number(reading.limit_mm)},
          {"at", json_vector(reading.at_mm)}};
}

Json hole_json(const std::optional<WorstHole>& hole) {
  if (!hole) return nullptr;
  return {{"name", hole->name},
          {"position", json_number(hole->position_mm)},
          {"allowed", json_number(hole->allowed_mm)}};
}

Json entry_json(const OverviewEntry& entry) {
  const bool checked = entry.state == ScanState::Checked;
  Json json = {{"file", printable(entry.scan)},
               {"folder", words_or_null(sheet_of(entry))},
               {"verdict", words_or_null(outcome_words(entry))}};
  json["exit_code"] =
      entry.state == ScanState::Waiting ? Json(nullptr) : Json(static_cast<int>(entry.code));
  json["sentence"] = words_or_null(entry.sentence);
  json["worst"] = words_or_null(entry.worst);
  json["proud"] = reading_json(entry.proud);
  json["shy"] = reading_json(entry.shy);
  json["hole"] = hole_json(entry.hole);
  json["bolts_up"] = words_or_null(entry.bolts_up ? outcome_name(*entry.bolts_up) : "");
  json["seen_fraction"] = checked ? json_number(entry.seen_fraction) : Json(nullptr);
  json["uncertainty"] = checked ? json_number(entry.uncertainty_mm) : Json(nullptr);
  json["error"] = words_or_null(entry.error);
  return json;
}

}  // namespace

std::string overview_csv(const Overview& overview) {
  std::string csv = std::string(
                        "scan,folder,verdict,exit_code,worst,proud_mm,proud_allowed_mm,shy_mm,"
                        "shy_allowed_mm,hole,hole_position_mm,hole_allowed_mm,bolts_up,"
                        "seen_fraction,uncertainty_mm,error") +
                    kCsvLineEnd;
  for (const OverviewEntry& entry : overview.entries)
    csv += csv_line(entry);
  return csv;
}

std::string overview_json(const Overview& overview) {
  Json json = {{"schema", 1},
               {"version", overview.run.version},
               {"verdict", outcome_name(outcome_of(overview))},
               {"exit_code", static_cast<int>(worst_code(overview))},
               {"sentence", overview_sentence(overview)},
               {"part", overview.part},
               {"plan", words_or_null(overview.plan)}};
  json["scans"] = Json::array();
  for (const OverviewEntry& entry : overview.entries)
    json["scans"].push_back(entry_json(entry));
  return json_text(json);
}

}  // namespace trammel
