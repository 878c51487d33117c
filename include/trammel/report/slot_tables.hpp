#pragma once

/// The tables of slots.

#include "trammel/report/sheet_context.hpp"
#include "trammel/report/sheet_writer.hpp"

namespace trammel {

/// The slots of the plan; nothing where it names none.
void write_slot_table(SheetWriter& flow, const SheetContext& context);

/// Those of the design that the plan does not name; nothing where there are none.
void write_other_slots(SheetWriter& flow, const SheetContext& context);

}  // namespace trammel
