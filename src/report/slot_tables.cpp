#include "trammel/report/slot_tables.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/words.hpp"
#include "trammel/report/feature_tables.hpp"
#include "trammel/report/slot_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

const std::string kNoFigure = "\u2013";

std::string figure_or_none(const std::optional<double>& value, int decimals) {
  return value ? fixed(*value, decimals) : kNoFigure;
}

std::string limits_words(const std::optional<Limits>& limits, int decimals) {
  return limits ? fixed(limits->low_mm, decimals) + " to " + fixed(limits->high_mm, decimals)
                : kNoFigure;
}

std::string offset_cell(const SlotResult& slot, int decimals) {
  if (!slot.offset_mm) return kNoFigure;
  return fixed(slot.offset_mm->norm(), decimals) + " " + axes_words(*slot.offset_mm);
}

std::string turn_cell(const SlotResult& slot) {
  return slot.turn_rad ? signed_fixed(*slot.turn_rad / kDegree, 2) + "\u00b0" : kNoFigure;
}

TableRow slot_row(const Inspection& inspection, std::size_t index, int decimals) {
  const SlotResult& slot = inspection.verdict.slots[index];
  const SlotCheck* check = slot_check_of(inspection.plan, slot.name);
  const SlotCheck asked = check != nullptr ? *check : SlotCheck{};
  return {{printable(slot.name), kInk, true, mark_of_slot(index)},
          {figure_or_none(slot.position_mm, decimals)},
          {asked.position_mm ? fixed(*asked.position_mm, std::max(2, decimals)) : kNoFigure},
          {offset_cell(slot, decimals)},
          {turn_cell(slot)},
          {figure_or_none(slot.width_mm, decimals)},
          {limits_words(asked.width_mm, decimals)},
          {figure_or_none(slot.length_mm, decimals)},
          {limits_words(asked.length_mm, decimals)},
          verdict_cell(slot.outcome)};
}

std::string drawn_words(const SlotResult& slot, int decimals) {
  return fixed(slot.nominal_width_mm, decimals) + " \u00d7 " +
         fixed(slot.nominal_length_mm, decimals);
}

TableRow other_slot_row(const SlotResult& slot, int decimals) {
  const bool measured = slot.width_mm && slot.length_mm;
  const std::string why = slot.reasons.empty() ? "" : ": " + printable(slot.reasons.front());
  return {
      {point_words(slot.nominal_mm)},
      {drawn_words(slot, decimals)},
      {measured ? fixed(*slot.width_mm, decimals) + " \u00d7 " + fixed(*slot.length_mm, decimals)
                : kNoFigure},
      {offset_cell(slot, decimals)},
      {turn_cell(slot)},
      {state_name(slot.state) + why}};
}

}  // namespace

void write_slot_table(SheetWriter& flow, const SheetContext& context) {
  const auto& slots = context.inspection.verdict.slots;
  if (slots.empty()) return;
  flow.heading("Slots", 30.0);
  const std::size_t count = std::min(slots.size(), kMostTableRows);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < count; ++i)
    rows.push_back(slot_row(context.inspection, i, context.decimals));
  flow.table({{"name", 50.0},
              {"position, mm", 54.0, Anchor::End},
              {"allowed", 36.0, Anchor::End},
              {"off by, towards", 62.0},
              {"turned", 42.0, Anchor::End},
              {"width, mm", 44.0, Anchor::End},
              {"allowed", 62.0},
              {"length, mm", 46.0, Anchor::End},
              {"allowed", 74.0},
              {"verdict", 48.0}},
             rows);
  tell_of_more(flow, slots.size());
  for (std::size_t i = 0; i < count; ++i) {
    const SlotResult& slot = slots[i];
    std::string words = printable(slot.name) + ": should be at " + point_words(slot.nominal_mm);
    if (slot.nominal_length_mm > 0.0)
      words += ", drawn " + drawn_words(slot, context.decimals) + " mm";
    if (slot.outcome != Outcome::Pass && !slot.reasons.empty())
      words += "; " + printable(slot.reasons.front());
    flow.paragraph(words + ".");
  }
}

void write_other_slots(SheetWriter& flow, const SheetContext& context) {
  const auto& slots = context.inspection.verdict.other_slots;
  if (slots.empty()) return;
  flow.heading("Other slots of the design: listed, not judged", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < std::min(slots.size(), kMostTableRows); ++i)
    rows.push_back(other_slot_row(slots[i], context.decimals));
  flow.table({{"should be at", 110.0},
              {"drawn, mm", 76.0},
              {"size, mm", 76.0},
              {"off by, towards", 76.0},
              {"turned", 40.0, Anchor::End},
              {"found", 145.0}},
             rows);
  tell_of_more(flow, slots.size());
}

}  // namespace trammel
