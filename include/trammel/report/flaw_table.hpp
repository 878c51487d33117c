#pragma once

/// What went wrong with the part, in figures: page 1 has the sentences.

#include "trammel/report/sheet_writer.hpp"

namespace trammel {

/// A row a flaw, in the order of the verdict: kind, wall or face, the figure at its worst place
/// (mm, + proud of the face), angle (degrees), that place, where the face looks, measured / drawn
/// of a shrink, share of the misfit. Below it the sentences of those flaws that page 1 has no room
/// for
/// (`kFlawsOnFront`). Nothing for a part without flaws.
void write_flaw_table(SheetWriter& writer, const SheetContext& context);

}  // namespace trammel
