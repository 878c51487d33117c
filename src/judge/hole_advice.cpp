#include "trammel/judge/hole_advice.hpp"

#include <algorithm>
#include <optional>

#include "conclude.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/hole_lean.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

constexpr double kOffPlace = 0.02;  // of the diameter, where the plan asks for no place

std::string name_of(const HoleResult& hole) {
  return capitalised(named(round_word(hole.kind), hole.name));
}

bool allows(const HoleCheck* check, double diameter_mm) {
  return check == nullptr || !check->diameter_mm || diameter_mm <= check->diameter_mm->high_mm;
}

/// To move it would not help; opened along its own lean it clears its place all the same.
std::string lean_advice(const HoleResult& hole, const HoleCheck* check,
                        const HoleOpening* opening) {
  const bool is_pin = hole.kind == RoundKind::Pin;
  const std::string leans = name_of(hole) + " " + hole_lean_words(hole) +
                            (is_pin ? ": set it straight" : ": drill it anew, straight");
  if (is_pin) return leans;
  if (opening != nullptr)
    return leans + ", or " + opening_words(*opening, "it", check) +
           ", so that all bolts go through";
  const double opened_mm = hole.nominal_diameter_mm + *hole.position_mm;
  if (!allows(check, opened_mm)) return leans;
  return leans + ", or, where play is allowed, open it to " + fixed(opened_mm, 1) +
         " mm so that it clears its place";
}

std::string place_advice(const HoleResult& hole, const HoleCheck* check,
                         const HoleOpening* opening) {
  if (is_off_by_lean(hole)) return lean_advice(hole, check, opening);
  const double off_mm = hole.offset_mm->norm();
  const std::string sits = name_of(hole) + " sits " + fixed(off_mm, 2) + " mm towards " +
                           direction_words(*hole.offset_mm);
  if (hole.kind == RoundKind::Pin)
    return sits + ": set it anew, or, where play is allowed, open what it goes into by as much";
  if (opening != nullptr) {
    return sits + ": move it, " + opening_words(*opening, "it", check) +
           ", so that all bolts go through";
  }
  const double opened_mm = hole.nominal_diameter_mm + 2.0 * off_mm;
  if (!allows(check, opened_mm)) return sits + ": move it";
  return sits + ": move it, or, where play is allowed, open it to " + fixed(opened_mm, 1) +
         " mm so that it clears its place";
}

/// "0.35 mm wider: drill or file it open".
std::string size_words(RoundKind kind, bool wider) {
  if (kind == RoundKind::Pin)
    return wider ? " mm thicker: build it up, or set another" : " mm thinner: take that off";
  return wider ? " mm wider: drill or file it open"
               : " mm narrower: bush it, or fill it and drill it anew";
}

std::optional<std::string> size_advice(const HoleResult& hole, const HoleCheck& check) {
  if (!check.diameter_mm || !hole.diameter_mm) return std::nullopt;
  const double short_mm = check.diameter_mm->low_mm - *hole.diameter_mm;
  const double over_mm = *hole.diameter_mm - check.diameter_mm->high_mm;
  if (std::max(short_mm, over_mm) <= 0.0) return std::nullopt;
  return name_of(hole) + " must become at least " + fixed(std::max(short_mm, over_mm), 2) +
         size_words(hole.kind, short_mm > 0.0) + ", or agree on wider limits";
}

/// Where its limits of size do not ask for it anyhow.
std::optional<std::string> bolt_advice(const HoleResult& hole, const HoleCheck& check) {
  if (!check.bolt_mm || !hole.free_width_mm || !hole.diameter_mm) return std::nullopt;
  const double lacking_mm = *check.bolt_mm - *hole.free_width_mm;
  if (lacking_mm <= 0.0) return std::nullopt;
  const double opened_mm = *hole.diameter_mm + lacking_mm;
  return name_of(hole) + " lacks " + fixed(lacking_mm, 2) + " mm for its bolt of " +
         shortest(*check.bolt_mm) + " mm: open it to more than " + fixed(opened_mm, 1) + " mm" +
         (allows(check.diameter_mm ? &check : nullptr, opened_mm)
              ? ""
              : ", which the plan's limits of size do not allow");
}

}  // namespace

std::string absent_advice(const std::string& what, bool is_slot) {
  return "See that " + what + " is " + (is_slot ? "cut" : "drilled") +
         " and that nothing lies across it";
}

std::string opening_words(const HoleOpening& opening, const std::string& it,
                          const HoleCheck* check) {
  const std::string longer = opening.towards.isZero()
                                 ? ""
                                 : ", or make it " + fixed(opening.slot_mm, 1) +
                                       " mm longer towards " + direction_words(opening.towards);
  return "open " + it + " to " + fixed(opening.diameter_mm, 1) + " mm" + longer +
         (allows(check, opening.diameter_mm)
              ? ""
              : " (its limits of size allow " + shortest(check->diameter_mm->high_mm) + " mm)");
}

bool is_not_through(const HoleResult& hole) {
  return std::find(hole.reasons.begin(), hole.reasons.end(), conclusions::kNotThrough) !=
         hole.reasons.end();
}

bool is_to_move(const HoleResult& hole, const HoleCheck* check) {
  if (hole.outcome != Outcome::Fail || is_absent(hole.state) || !hole.offset_mm) return false;
  if (check != nullptr && check->position_mm)
    return hole.position_mm && *hole.position_mm > *check->position_mm;
  return check == nullptr && hole.offset_mm->norm() > kOffPlace * hole.nominal_diameter_mm;
}

std::vector<std::string> hole_advice(const HoleResult& hole, const HoleCheck* check,
                                     const HoleOpening* opening) {
  if (hole.state == HoleState::Missing) return {"See that pin " + hole.name + " is set"};
  if (hole.state == HoleState::Closed) return {absent_advice(named("hole", hole.name), false)};
  std::vector<std::string> out;
  if (is_to_move(hole, check)) out.push_back(place_advice(hole, check, opening));
  if (check == nullptr) return out;
  if (const auto size = size_advice(hole, *check)) {
    out.push_back(*size);
  } else if (const auto bolt = bolt_advice(hole, *check); bolt && opening == nullptr) {
    out.push_back(*bolt);
  }
  return out;
}

}  // namespace trammel
