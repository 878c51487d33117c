#pragma once

/// How the sheet speaks of flatness, parallelism, perpendicularity, angles and walls.

#include <string>

#include "trammel/report/findings.hpp"

namespace trammel {

/// "Flatness seat", as the reasons of the verdict begin.
[[nodiscard]] std::string form_title_name(const FormResult& form);

/// What is wrong with one that fails: "is too wide" of an angle, "is too thin" of a wall, "is out
/// of its zone" of the others.
[[nodiscard]] std::string form_fault(const FormResult& form);

/// "up to 0.20 mm", "89.50° to 90.50°"; empty where there is no limit.
[[nodiscard]] std::string form_allowed(const FormResult& form);

/// "0.12 mm", of a wall "2.93 mm to 3.04 mm"; "not read" where it was not measured.
[[nodiscard]] std::string form_measured(const FormResult& form);

/// How it was found: "0.35 mm, allowed up to 0.20 mm (ISO 2768-K)."
[[nodiscard]] std::string form_figures(const FormResult& form);

/// @param index  into verdict.forms
[[nodiscard]] Finding form_finding(const FormResult& form, std::size_t index);

/// "flatness seat, angle bend and thickness web", six at most.
[[nodiscard]] std::string form_names(const std::vector<FormResult>& forms);

}  // namespace trammel
