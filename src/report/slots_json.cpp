#include "slots_json.hpp"

#include "json_text.hpp"

namespace trammel {

nlohmann::ordered_json slots_json(const std::vector<SlotResult>& slots) {
  using Json = nlohmann::ordered_json;
  Json out = Json::array();
  for (const SlotResult& slot : slots) {
    const bool measured = slot.state == HoleState::Measured;
    const auto error = [&](double value) { return measured ? json_number(value) : Json(nullptr); };
    out.push_back({{"name", slot.name},
                   {"state", state_name(slot.state)},
                   {"position", json_number(slot.position_mm)},
                   {"offset", slot.offset_mm ? json_vector(*slot.offset_mm) : Json(nullptr)},
                   {"turn", json_number(slot.turn_rad)},
                   {"width", json_number(slot.width_mm)},
                   {"length", json_number(slot.length_mm)},
                   {"verdict", outcome_name(slot.outcome)},
                   {"nominal", json_vector(slot.nominal_mm)},
                   {"axis", json_vector(slot.axis)},
                   {"along", json_vector(slot.along)},
                   {"nominal_width", json_number(slot.nominal_width_mm)},
                   {"nominal_length", json_number(slot.nominal_length_mm)},
                   {"depth", json_number(slot.depth_mm)},
                   {"through", slot.is_through},
                   {"standard_error", error(slot.standard_error_mm)},
                   {"width_error", error(slot.width_error_mm)},
                   {"length_error", error(slot.length_error_mm)},
                   {"points", slot.points},
                   {"rims", slot.rims},
                   {"conformity", json_number(slot.conformity)},
                   {"reasons", slot.reasons}});
  }
  return out;
}

}  // namespace trammel
