#include "bolts_json.hpp"

#include "json_text.hpp"

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

Json openings_json(const BoltUp& up) {
  Json openings = Json::array();
  for (const HoleOpening& opening : up.openings) {
    openings.push_back({{"hole", opening.hole},
                        {"diameter", json_number(opening.diameter_mm)},
                        {"slot", json_number(opening.slot_mm)},
                        {"towards", json_vector(opening.towards)}});
  }
  return openings;
}

Json mate_holes_json(const Mate& mate) {
  Json holes = Json::array();
  for (const MateHole& hole : mate.holes) {
    const bool measured = hole.is_measured();
    const auto figure = [&](double value) { return measured ? json_number(value) : Json(nullptr); };
    holes.push_back({{"at", json_vector(hole.at_mm)},
                     {"measured", measured},
                     {"center", measured ? json_vector(hole.center_mm) : Json(nullptr)},
                     {"axis", measured ? json_vector(hole.axis) : Json(nullptr)},
                     {"diameter", figure(hole.diameter_mm)},
                     {"standard_error", figure(hole.center_error_mm)},
                     {"stud", hole.is_stud},
                     {"by_wall", hole.by_wall},
                     {"points", hole.points},
                     {"reason", hole.reason}});
  }
  return holes;
}

}  // namespace

nlohmann::ordered_json bolt_ups_json(const Verdict& verdict) {
  Json ups = Json::array();
  for (const BoltUp& up : verdict.bolt_ups) {
    const bool measured = up.uncertainty_mm > 0.0;
    ups.push_back({{"group", up.group},
                   {"verdict", outcome_name(up.outcome)},
                   {"play", measured ? json_number(up.play_mm) : Json(nullptr)},
                   {"uncertainty", measured ? json_number(up.uncertainty_mm) : Json(nullptr)},
                   {"shift", json_vector(up.shift_mm)},
                   {"turn", json_number(up.turn_rad)},
                   {"open", openings_json(up)},
                   {"mate", up.mate.empty() ? Json(nullptr) : Json(up.mate)},
                   {"mate_sha256", up.mate.empty() ? Json(nullptr) : Json(up.mate_sha256)},
                   {"words", up.words}});
  }
  return ups;
}

nlohmann::ordered_json mates_json(const std::vector<Mate>& mates) {
  Json out = Json::array();
  for (const Mate& mate : mates) {
    out.push_back({{"file", mate.file},
                   {"sha256", mate.sha256},
                   {"unit", mate.unit},
                   {"group", mate.group},
                   {"uncertainty", json_number(mate.uncertainty_mm)},
                   {"side_known", mate.faces_out},
                   {"holes", mate_holes_json(mate)}});
  }
  return out;
}

}  // namespace trammel
