#pragma once

/// Random parts of a workshop: sheet of 1 to 4 mm, printed walls of 1.2 to 3 mm, with holes at no
/// regular places, so that each lies in one way only.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel::test {

enum class Family { Plate, Bracket, Channel, Housing, Flange };
[[nodiscard]] std::vector<Family> all_families();
[[nodiscard]] std::string family_name(Family family);

/// One flat wall of a part: its outer face lies in origin + a u + b v, its inner one a thickness
/// behind it.
struct Panel {
  Eigen::Vector3d origin_mm, u, v;  ///< u and v unit, across each other
  Eigen::Vector3d normal;           ///< unit, out of the outer face
  double along_u_mm = 0.0, along_v_mm = 0.0, thickness_mm = 0.0;
  bool hinged = false;  ///< stands on another panel along v = 0, its other three sides are free

  /// (a, b, c) of a place: along u, along v, and behind the outer face.
  [[nodiscard]] Eigen::Vector3d in_panel(const Eigen::Vector3d& p_mm) const;
  [[nodiscard]] Eigen::Vector3d at(double a_mm, double b_mm) const;
};

/// Straight through a panel.
struct PartHole {
  std::size_t panel = 0;
  Eigen::Vector2d at_mm;  ///< a and b in the panel
  double diameter_mm = 0.0;
};

/// What stands on the floor of a housing: a screw boss with a blind hole, or a rib.
struct Foot {
  Eigen::Vector2d at_mm;     ///< x and y of its middle
  double diameter_mm = 0.0;  ///< of a boss; 0 for a rib
  double length_mm = 0.0;    ///< of a rib, along x; as thick as the walls
  double height_mm = 0.0;
};

/// The surface of a cylinder of the part.
struct RoundWall {
  Eigen::Vector3d on_axis_mm, axis;
  double radius_mm = 0.0, from_mm = 0.0, to_mm = 0.0;  ///< the latter along the axis
};

/// All that is needed to build a part, or one that was made otherwise.
struct Recipe {
  Family family = Family::Plate;
  double length_mm = 0.0, width_mm = 0.0, height_mm = 0.0, other_height_mm = 0.0;
  double thickness_mm = 0.0;
  double cut_mm = 0.0;  ///< of a corner
  double floor_mm = 0.0, hub_mm = 0.0, bore_mm = 0.0;
  std::vector<PartHole> holes;
  std::vector<Foot> feet;
};

/// The same recipe for the same family and stream.
[[nodiscard]] Recipe random_recipe(Family family, Rng rng);

/// Closed and welded, wound outward. Round walls have 48 facets.
[[nodiscard]] Mesh built(const Recipe& recipe);

[[nodiscard]] std::vector<Panel> panels_of(const Recipe& recipe);
[[nodiscard]] std::vector<RoundWall> round_walls_of(const Recipe& recipe);

/// A round place on a panel, clear of its edges, its holes and the feet on it.
/// @param radius_mm  of the place
/// @param found  false when there was no room in 300 tries
[[nodiscard]] Eigen::Vector2d free_place(const Recipe& recipe, std::size_t panel, double radius_mm,
                                         Rng& rng, bool& found);

}  // namespace trammel::test
