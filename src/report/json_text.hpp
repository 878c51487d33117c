#pragma once

/// JSON as text with the shortest digits that read back to the same number.

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace trammel {

/// Indented by two; a list without lists or objects in it stays on one line. Numbers that are not
/// finite become null; bytes that are not UTF-8 become U+FFFD. Ends with a line break.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& value);

}  // namespace trammel
