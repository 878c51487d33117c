#pragma once

/// Measures a slot in the scan: where its middle is, how it is turned, how wide and how long it is,
/// or why that is not known.

#include <Eigen/Core>
#include <cstdint>
#include <string>

#include "trammel/geometry/find_slots.hpp"

namespace trammel {

enum class SlotStatus {
  Measured,
  TooFewPoints,  ///< some of the wall was seen, not enough to fit
  Unseen,        ///< none of it, or too little of an end or a flat
  NoSlot,        ///< what was seen does not lie on a slot
};

struct MeasuredSlot {
  SlotStatus status = SlotStatus::Unseen;
  std::string reason;  ///< one sentence when not measured, otherwise empty

  // The rest holds only when measured.
  SlotShape shape;  ///< axis and long direction as those of the design; centre at its mid depth
  Eigen::Vector3d offset_mm = Eigen::Vector3d::Zero();  ///< of the middle, across the design's axis
  /// Longest way of a point of its middle line from its place: of the middle and of both ends at
  /// the drawn length, at the worse end of the wall where the axis leans. What is turned shows in
  /// it, what is too long does not.
  double worst_offset_mm = 0.0;
  double turn_rad = 0.0;      ///< about the design's axis, right-handed
  double narrowest_mm = 0.0;  ///< smallest width between the flats, noise averaged out
  SlotErrors errors;          ///< 1 σ, from the fit
  double rms_mm = 0.0;        ///< of the wall's points about the slot
  int points = 0;             ///< that hold the fit
  int rims = 0;               ///< 0: measured by its wall; 1, 2: by so many rims
  bool tilted = false;        ///< the axis leans beyond doubt; otherwise the design's was held
};

struct MeasureSlotSettings {
  int least_points = 30;
  double least_seen = 0.55;  ///< of each end and of each flat, as 200° are of a hole
  double coating_mm = 0.0;   ///< matting spray on the scanned wall, taken off along the normal
  std::uint64_t seed = 1;    ///< of the random starts
};

/// A slot is looked for that is turned by up to 20°, whose middle lies within the design's radius
/// of its place, and whose width is 0.5 to 1.6 times the design's. Wall points are those within the
/// wall's depth (and a quarter of it beyond either end) whose normals stand across the axis. The
/// best of many slots through a point of each flat and each end, along their normals, starts a fit
/// with Tukey's biweight, so that strays, chamfers and neighbouring holes do not pull.
/// @param points_mm  3 × #P scan points in the design frame
/// @param normals    3 × #P unit, out of the material: a wall's normals look into the gap
[[nodiscard]] MeasuredSlot measure_slot(const Eigen::Matrix3Xd& points_mm,
                                        const Eigen::Matrix3Xd& normals, const DesignSlot& slot,
                                        const MeasureSlotSettings& settings = {});

/// `MeasuredSlot::worst_offset_mm` and what else follows from the shape measured.
/// @param measured  axis within 30° of the design's
void place_against(const DesignSlot& drawn, const SlotShape& measured, MeasuredSlot& out);

}  // namespace trammel
