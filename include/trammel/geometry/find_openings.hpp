#pragma once

/// All round holes and slots of a design, in one look at it.

#include "trammel/geometry/find_holes.hpp"
#include "trammel/geometry/find_slots.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct FoundOpenings {
  FoundHoles holes;
  FoundSlots slots;
};

/// What `find_holes` and `find_slots` find, each as if alone: no wall is both. Neighbours, normals
/// and creases of the design, which both begin with, are made once; the two searches then go side
/// by side where there are threads for it.
/// @param design  welded, wound outward
[[nodiscard]] FoundOpenings find_openings(const Mesh& design,
                                          const FindHoleSettings& hole_settings = {},
                                          const FindSlotsSettings& slot_settings = {});

}  // namespace trammel
