#include "json_text.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

std::string quoted(const std::string& text) {
  return Json(text).dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string plain_value(const Json& value) {
  if (value.is_number_float()) {
    const double number = value.get<double>();
    return std::isfinite(number) ? shortest(number) : "null";
  }
  if (value.is_string()) return quoted(value.get_ref<const std::string&>());
  return value.dump();
}

void write(const Json& value, const std::string& indent, std::string& out);

void write_members(const Json& value, const std::string& indent, bool on_lines, std::string& out) {
  const std::string inner = indent + "  ";
  bool first = true;
  for (const auto& item : value.items()) {
    if (!first) out += on_lines ? "," : ", ";
    if (on_lines) out += "\n" + inner;
    if (value.is_object()) out += quoted(item.key()) + ": ";
    write(item.value(), inner, out);
    first = false;
  }
  if (on_lines) out += "\n" + indent;
}

void write(const Json& value, const std::string& indent, std::string& out) {
  if (!value.is_structured()) {
    out += plain_value(value);
    return;
  }
  const bool nested = std::any_of(value.begin(), value.end(),
                                  [](const Json& item) { return item.is_structured(); });
  const bool on_lines = !value.empty() && (value.is_object() || nested);
  out += value.is_object() ? '{' : '[';
  write_members(value, indent, on_lines, out);
  out += value.is_object() ? '}' : ']';
}

}  // namespace

std::string json_text(const Json& value) {
  std::string out;
  write(value, "", out);
  return out + "\n";
}

Json json_number(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

Json json_number(const std::optional<double>& value) {
  return value ? json_number(*value) : Json(nullptr);
}

Json json_vector(const Eigen::Vector3d& value) {
  return Json::array({json_number(value.x()), json_number(value.y()), json_number(value.z())});
}

Json json_matrix(const Eigen::Isometry3d& motion) {
  Json rows = Json::array();
  for (Eigen::Index r = 0; r < 4; ++r) {
    Json row = Json::array();
    for (Eigen::Index c = 0; c < 4; ++c)
      row.push_back(json_number(motion.matrix()(r, c)));
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace trammel
