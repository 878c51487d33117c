#pragma once

/// Measures a slot by its rims: where the scanned face around it ends. Of thin sheet, and of slots
/// scanned from straight above, a scan shows little else.

#include <Eigen/Core>

#include "trammel/geometry/find_slots.hpp"
#include "trammel/geometry/measure_rim.hpp"
#include "trammel/geometry/measure_slot.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// Whether the wall meets a flat face of the design square to its axis at that end, round both half
/// circles: a chamfer or a blind end has no rim that tells of the wall.
/// @param design  welded, the mesh that `slot` was found in
[[nodiscard]] bool has_square_rim(const Mesh& design, const DesignSlot& slot, HoleEnd end);

struct MeasureSlotRimSettings {
  double least_seen = 0.75;  ///< of each end and each flat, as 270° are of a hole's rim
  double coating_mm = 0.0;   ///< matting spray on the wall: the slot is that much wider all around
  std::uint64_t seed = 1;
};

/// A slot by its rims, for one whose wall was not seen well enough (`measure_slot`). From both rims
/// its axis runs through their middles, its sizes are their means and its narrowest width that of
/// the narrower one; from one rim the design's axis is taken, and what lies deeper is not known.
/// @param design     welded, the mesh that `slot` was found in
/// @param points_mm  3 × #P scan points in the design frame, of anything
/// @param normals    3 × #P unit, out of the material
[[nodiscard]] MeasuredSlot measure_slot_by_rims(const Mesh& design,
                                                const Eigen::Matrix3Xd& points_mm,
                                                const Eigen::Matrix3Xd& normals,
                                                const DesignSlot& slot,
                                                const MeasureSlotRimSettings& settings = {});

}  // namespace trammel
