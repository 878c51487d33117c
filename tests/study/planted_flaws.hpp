#pragma once

/// Random parts with one flaw of known kind, place and size, and the plan they are checked by.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "study/random_parts.hpp"
#include "study/true_surface.hpp"
#include "trammel/model/plan.hpp"

namespace trammel::test {

enum class PlantedKind {
  None,
  Shrink,       ///< all over, or growth
  ShrinkAlong,  ///< one axis of the design
  Bow,
  Twist,
  Lean,
  Offset,  ///< one face too high or too low: thickness
  Dent,
  Blob,    ///< a smooth one, or a small steep spatter
  Corner,  ///< warped: one free corner bent up
  MissingHole,
  HoleSize,
  HoleOff,  ///< its place
  ExtraHole,
  MissingFoot,  ///< a boss or rib
};
[[nodiscard]] std::vector<PlantedKind> all_planted_kinds();
[[nodiscard]] std::string planted_name(PlantedKind kind);

/// One part, as drawn and as made.
struct PlantedPart {
  Recipe recipe;
  PlantedKind kind = PlantedKind::None;
  Mesh design, real;
  TrueSurface surface;
  Plan plan;             ///< its band, and on half the parts with a bad hole that hole's limits
  double size_mm = 0.0;  ///< of the flaw, where it is largest, before any fit
  int axis = -1;         ///< of a shrink along one
  bool of_kind = false;  ///< something is there or lacks that no band allows
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< of a local flaw, in the design
  double radius_mm = 0.0;                           ///< of a local flaw
  int hole = -1;                                    ///< that is not as drawn, or −1
  PartHole made_hole;
  std::string words;  ///< for a log
};

/// The same part for the same kind and number. Families that cannot have the kind are not asked.
/// The size is 0.3 to 3 times the band, uniform in its logarithm.
[[nodiscard]] PlantedPart planted_part(PlantedKind kind, int number);

}  // namespace trammel::test
