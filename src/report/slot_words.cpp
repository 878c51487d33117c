#include "trammel/report/slot_words.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostSlotNames = 6;

/// How far a size is outside its limits, in multiples of half their span, plus 1; 0 inside.
double out_of(const std::optional<double>& value, const std::optional<Limits>& limits) {
  if (!value || !limits) return 0.0;
  const double out = std::max(limits->low_mm - *value, *value - limits->high_mm);
  if (out <= 0.0) return 0.0;
  return 1.0 + out / std::max(1e-9, 0.5 * (limits->high_mm - limits->low_mm));
}

double used_zone(const SlotResult& slot, const SlotCheck& check) {
  return slot.position_mm && check.position_mm ? *slot.position_mm / *check.position_mm : 0.0;
}

double slot_severity(const SlotResult& slot, const SlotCheck* check) {
  if (is_absent(slot.state)) return kAbsentSeverity;
  if (check == nullptr) return 0.0;
  return std::max({used_zone(slot, *check), out_of(slot.width_mm, check->width_mm),
                   out_of(slot.length_mm, check->length_mm)});
}

std::string size_fault(double value, const Limits& limits, const char* below, const char* above,
                       int decimals) {
  return std::string("is too ") + (value < limits.low_mm ? below : above) + ": " +
         fixed(value, decimals) + " mm";
}

/// Off place: by its middle, or by its turn where the middle is less than half of it.
std::string place_fault(const SlotResult& slot, int decimals) {
  const double off = slot.offset_mm->norm();
  if (2.0 * off < 0.5 * *slot.position_mm)
    return "is turned by " + fixed(std::abs(*slot.turn_rad) / kDegree, 2) + "\u00b0";
  return "sits " + fixed(off, std::max(1, decimals - 1)) + " mm towards " +
         axes_words(*slot.offset_mm);
}

void add_size(std::string& words, const char* what, const std::optional<double>& value,
              const std::optional<Limits>& limits, int decimals) {
  if (!value) return;
  words += std::string("; ") + what + " " + fixed(*value, decimals);
  if (limits)
    words +=
        " (" + fixed(limits->low_mm, decimals) + " to " + fixed(limits->high_mm, decimals) + ")";
}

}  // namespace

std::string slot_fault(const SlotResult& slot, const SlotCheck* check, int decimals) {
  if (is_absent(slot.state)) return absence_words(slot.outcome);
  if (slot.state != HoleState::Measured) return "could not be measured";
  if (check != nullptr && used_zone(slot, *check) > 1.0) return place_fault(slot, decimals);
  if (check != nullptr && out_of(slot.width_mm, check->width_mm) > 0.0)
    return size_fault(*slot.width_mm, *check->width_mm, "narrow", "wide", decimals);
  if (check != nullptr && out_of(slot.length_mm, check->length_mm) > 0.0)
    return size_fault(*slot.length_mm, *check->length_mm, "short", "long", decimals);
  return slot.outcome == Outcome::Fail ? "is not as planned" : "cannot be decided";
}

std::string slot_figures(const SlotResult& slot, const SlotCheck* check, int decimals) {
  if (!slot.position_mm) return "Not measured.";
  std::string words = "Position " + fixed(*slot.position_mm, decimals);
  if (check != nullptr && check->position_mm)
    words += " against " + fixed(*check->position_mm, decimals);
  add_size(words, "width", slot.width_mm, check != nullptr ? check->width_mm : std::nullopt,
           decimals);
  add_size(words, "length", slot.length_mm, check != nullptr ? check->length_mm : std::nullopt,
           decimals);
  return words + ".";
}

Finding slot_finding(const Inspection& inspection, std::size_t index) {
  const SlotResult& slot = inspection.verdict.slots[index];
  const SlotCheck* check = slot_check_of(inspection.plan, slot.name);
  const int decimals = length_decimals(inspection);
  Finding finding;
  finding.label = printable(slot.name);
  finding.subject = Subject::Slot;
  finding.index = index;
  finding.outcome = slot.outcome;
  finding.severity = slot_severity(slot, check);
  finding.title =
      capitalised(named("slot", finding.label)) + " " + slot_fault(slot, check, decimals) + ".";
  finding.detail = is_absent(slot.state)
                       ? reason_sentence(slot.reasons.front())
                       : why_or(slot.outcome, slot.reasons, slot_figures(slot, check, decimals));
  return finding;
}

std::string slot_names(const std::vector<SlotResult>& slots) {
  std::vector<std::string> names;
  for (const SlotResult& slot : slots)
    names.push_back(named("slot", printable(slot.name)));
  return list_words(names, kMostSlotNames);
}

}  // namespace trammel
