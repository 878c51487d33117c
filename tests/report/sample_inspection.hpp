#pragma once

/// Inspections made by hand, with a planted deviation field, so that reports are tested alone.

#include "trammel/model/inspection.hpp"

namespace trammel::test {

/// The bracket: its upright leans towards +X by up to 1.2 mm (proud on one face, shy on the other),
/// a dent in the base, hole B 1.2 mm off towards +Y, a corner of the base unseen. Fails; three
/// regions, two holes.
[[nodiscard]] Inspection failing_inspection(double cell_edge_mm = 1.5);
/// The same part within its band, two good holes. Passes.
[[nodiscard]] Inspection passing_inspection(double cell_edge_mm = 1.5);
/// Seen from one side only. Undecided; one hole was not measured.
[[nodiscard]] Inspection undecided_inspection(double cell_edge_mm = 1.5);

/// A distance of 36.06 mm (35.86 to 36.26, ISO 2768-m) that was measured so; undecided without.
/// "seat", with 0.2 mm, 89.5° to 90.5° or 2.7 to 3.3 mm allowed.
/// @param actual  mm, of an angle radians; absent: not measured
[[nodiscard]] FormResult sample_form(FormKind kind, std::optional<double> actual, Outcome outcome);
[[nodiscard]] DistanceResult sample_distance(std::optional<double> actual_mm, Outcome outcome);

/// Slot "left", 8 × 20 mm drawn at (30, 20): measured 8.05 × 20.4 mm, 0.5 mm off towards +Y, turned
/// by 0.01 rad.
[[nodiscard]] SlotResult sample_slot(Outcome outcome);

/// Of two holes: one measured where the caller puts it, one on no flat face.
[[nodiscard]] Mate frame_mate();

}  // namespace trammel::test
