#pragma once

/// How a plan says what is allowed: figures, or a class of a general tolerance.

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "plan_table.hpp"
#include "trammel/model/general_tolerance.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::read {

/// Whether `class` is given in place of the other keys.
/// @param instead  the keys that stand for it
/// @param what     they mean, for the message that one is missing
/// @throws Error Input where one of them is missing and no class is given, or both are given
[[nodiscard]] bool has_class(const PlanTable& table, const std::vector<std::string>& instead,
                             const std::string& what);

/// The class that `class` names.
/// @param what  of what the classes are, for messages: "linear tolerances"
/// @throws Error Input where none of them is called so
[[nodiscard]] GeneralTolerance class_of(const PlanTable& table,
                                        const std::vector<GeneralTolerance>& classes,
                                        const std::string& what);

/// `over` and `under` of a size, or a linear class, which must give something for the nominal size
/// where the plan has one.
/// @param what     they mean: "how much longer or shorter it may be, mm"
/// @param nothing  what no measurement can prove where both are 0: "No distance can be …"
/// @throws Error Input as above
[[nodiscard]] std::variant<Band, GeneralTolerance> size_allowed(
    const PlanTable& table, const std::optional<double>& nominal_mm, const std::string& what,
    const std::string& nothing);

}  // namespace trammel::read
