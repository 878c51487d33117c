#pragma once

/// Flatness, parallelism, perpendicularity, angles and walls as JSON.

#include <nlohmann/json.hpp>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// A list in the order of `verdict.forms`; figures in mm, of an angle in radians, as each says.
[[nodiscard]] nlohmann::ordered_json forms_json(const Verdict& verdict);

}  // namespace trammel
