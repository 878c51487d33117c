#pragma once

/// JSON as text with the shortest digits that read back to the same number, and the pieces that
/// every result is made of.

#include <Eigen/Geometry>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace trammel {

/// Indented by two; a list without lists or objects in it stays on one line. Numbers that are not
/// finite become null; bytes that are not UTF-8 become U+FFFD. Ends with a line break.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& value);

/// null where there is no number: absence is never 0.
[[nodiscard]] nlohmann::ordered_json json_number(double value);
[[nodiscard]] nlohmann::ordered_json json_number(const std::optional<double>& value);
[[nodiscard]] nlohmann::ordered_json json_vector(const Eigen::Vector3d& value);
/// 4 × 4, a list a row.
[[nodiscard]] nlohmann::ordered_json json_matrix(const Eigen::Isometry3d& motion);

}  // namespace trammel
