#pragma once

/// From a smooth piece of a design to the slot whose wall it is: what find_slots asks of each.

#include <optional>

#include "hole_walls.hpp"
#include "trammel/geometry/find_slots.hpp"
#include "trammel/geometry/near_triangles.hpp"

namespace trammel::slot_patches {

/// The slot whose wall is in the patch; what lies off it (a rounded mouth, a face that runs on) is
/// let go in steps. Nothing when it is the wall of no slot, as `find_slots` says what one is.
/// @param near   the whole design: whether it is closed below is seen from its faces
/// @param patch  triangles of `near` in any order, all along one axis
[[nodiscard]] std::optional<DesignSlot> slot_of(const NearTriangles& near, hole_walls::Patch patch,
                                                const FindSlotsSettings& settings);

}  // namespace trammel::slot_patches
