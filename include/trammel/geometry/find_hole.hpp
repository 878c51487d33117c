#pragma once

/// Finds in the design mesh the round hole that a plan means by "near this point".

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "trammel/model/mesh.hpp"
#include "trammel/model/round_kind.hpp"

namespace trammel {

/// The wall of a round hole or pin, from the vertices of the design (a mid-facet lies inside the
/// circle).
struct DesignHole {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the axis, level with the given point
                                                        ///< (or with the wall's end next to it)
  /// Unit, out of the mouth near the point; where both are as near, upwards, or else to the front
  /// (−Y), or else to the right, so that no last digit turns it.
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();
  double radius_mm = 0.0;
  double low_mm = 0.0, high_mm = 0.0;  ///< ends of the wall along the axis, from the centre
  std::vector<int> triangles;          ///< of the design, ascending
  RoundKind kind = RoundKind::Hole;

  [[nodiscard]] double depth_mm() const { return high_mm - low_mm; }
  [[nodiscard]] Eigen::Vector3d middle_mm() const {
    return center_mm + 0.5 * (low_mm + high_mm) * axis;
  }
};

struct FindHoleSettings {
  double least_cover_deg = 320.0;  ///< of the circle that is wall: no slot, fillet or bend
  double roundness = 0.003;        ///< vertices lie on the circle to this share of its radius
  double beside_mm = 10.0;         ///< `at` may be this much farther from the wall than its radius
};

/// The round hole whose wall lies nearest to `at_mm`; nothing when there is none near.
///
/// A pair of neighbouring facets that lean towards each other gives an axis to try; from there the
/// patch grows over facets along that axis, over edges of at most 15°, 32° or 46° in turn (24, 12
/// and 8 facets a circle). Circle and axis come from its corners by least squares; all facets on
/// that cylinder that look at the axis make the wall, so a wall cut along its length is found
/// whole.
/// @param design  welded, wound outward
/// @param at_mm   usually the hole's centre on one face
[[nodiscard]] std::optional<DesignHole> find_hole(const Mesh& design, const Eigen::Vector3d& at_mm,
                                                  const FindHoleSettings& settings = {});

}  // namespace trammel
