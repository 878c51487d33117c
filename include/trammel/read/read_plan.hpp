#pragma once

/// The inspection plan from its TOML file (toml++).

#include <filesystem>
#include <string_view>

#include "trammel/model/plan.hpp"

namespace trammel {

/// @throws Error Missing; Input with "plan.toml:line:column", what was expected and found, for
/// syntax,
///         unknown keys (with the nearest known key), wrong types and values out of range
[[nodiscard]] Plan read_plan(const std::filesystem::path& path);

/// The same from text; `file` resolves the design's path and stands in messages.
[[nodiscard]] Plan parse_plan(std::string_view text, const std::filesystem::path& file);

/// A plan made of command-line options instead of a file.
[[nodiscard]] Plan plan_for_design(const std::filesystem::path& design);

}  // namespace trammel
