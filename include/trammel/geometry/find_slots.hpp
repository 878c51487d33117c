#pragma once

/// All slots of a design: two half cylinders of one radius, joined by two parallel flat walls.

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "trammel/geometry/fit_slot.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// The wall of a slot, from the vertices of the design (a mid-facet lies inside its curve).
struct DesignSlot {
  /// `center_mm` at mid depth. The axis points upwards, or else to the front (−Y), or else to the
  /// right; the long direction to the right, or else to the back, or else upwards: so that no last
  /// digit turns them.
  SlotShape shape;
  double low_mm = 0.0, high_mm = 0.0;        ///< ends of the wall along the axis, from the centre
  bool open_low = false, open_high = false;  ///< mouths: nothing of the design closes that end
  std::vector<int> triangles;                ///< of the design, ascending

  [[nodiscard]] double depth_mm() const { return high_mm - low_mm; }
  [[nodiscard]] bool is_through() const { return open_low && open_high; }
};

struct FindSlotsSettings {
  double least_cover = 0.9;       ///< of each half circle that is wall: a notch is no slot
  double least_flat_cover = 0.8;  ///< of each flat: another slot may cross
  double roundness = 0.003;       ///< vertices lie on the slot to this share of its radius
  double least_straight = 0.1;    ///< distance of the ends' centres over the radius: a round hole
                                  ///< is no slot
  double least_turn_deg = 300.0;  ///< that the facets turn through: 8 to a circle leave gaps
};

struct FoundSlots {
  std::vector<DesignSlot> slots;  ///< in the order of their first triangle
  bool complete = true;           ///< false when the search was broken off: a mesh all of creases
};

/// Through slots and blind ones; ends of 8 facets a circle or more. From a crease between facets
/// that lean towards each other a patch grows over facets along one axis (as `find_holes` does it)
/// all the way round the wall. It is a slot when its corners lie on one, its facets look into the
/// gap, both ends are half circles and both flats lie at the radius of the ends. So neither a round
/// hole is one, nor a window with flat ends or rounded corners, nor a notch open to one side, nor a
/// rounded end of the part. A wall cut right through along its length (a keyhole) is not found.
/// @param design  welded, wound outward
[[nodiscard]] FoundSlots find_slots(const Mesh& design, const FindSlotsSettings& settings = {});

/// The slot that a point lies in or nearest to; nothing when all are farther off than `beside_mm`.
/// @return index into `slots`
[[nodiscard]] std::optional<std::size_t> nearest_slot(const std::vector<DesignSlot>& slots,
                                                      const Eigen::Vector3d& at_mm,
                                                      double beside_mm = 10.0);

}  // namespace trammel
