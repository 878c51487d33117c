#pragma once

/// One hole or pin of the plan: found in the design, measured in the scan, judged.

#include "trammel/geometry/measure_hole.hpp"
#include "trammel/judge/closed_opening.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the measurement of a hole rests on; references live as long as the call.
struct HoleEvidence {
  const Mesh& design;
  const Alignment& alignment;
  OpeningEvidence scan;
  double expanded_uncertainty_mm = 0.0;  ///< U of one reading, k = 2
  bool bolts_up_in_group = false;        ///< whether the bolt meets its place is judged there
};

/// Expanded uncertainties (k = 2) of what is measured of a hole.
///
/// The noise of single readings averages out over the wall and is in the fit's standard errors.
/// What readings have in common does not: U of one reading bounds it, added in squares. It moves
/// the centre by at most U, and the diameter by 2 U when both sides are off the same way.
///   U_coordinate = √((2 s_center)² + (2 s_alignment)² + U²)
///   U_position   = 2 · U_coordinate      (the position is twice a distance)
///   U_diameter   = √((2 s_diameter)² + (2 U)²)
struct HoleUncertainty {
  double position_mm = 0.0;
  double diameter_mm = 0.0;
};
[[nodiscard]] HoleUncertainty hole_uncertainty(double center_error_mm, double diameter_error_mm,
                                               double alignment_error_mm,
                                               double expanded_uncertainty_mm);

/// What the scan shows of a hole or pin.
struct SeenHole {
  MeasuredHole measured;  ///< by its wall, or else, of a hole, by its rims; or why not
  bool closed = false;    ///< a surface lies across it as drawn; where a pin should stand
  bool may_end = false;   ///< measured, and a surface lies across it where it was found
};
[[nodiscard]] SeenHole look_at(const DesignHole& hole, const Mesh& design,
                               const OpeningEvidence& scan);

/// Judges what the plan asks of the hole, each by `decide`:
/// - `position`: twice the distance of the axis from its place (ISO 1101), at the worse end of the
///   wall when the axis leans beyond doubt;
/// - `diameter`: the two-point sizes against the limits of size (ISO 14405-1), which are the
///   least-squares diameter where the wall is round as far as its noise tells;
/// - `bolt`: the narrowest width must be provably wider than the bolt. Without a `position` the
/// bolt
///   must also pass at the nominal place, else it is undecided: a shift of the whole part may still
///   let it in.
/// A pin is measured by its wall alone; a hole whose wall was hardly seen, by its rims.
/// A hole of which no circle of about its size can be measured, but a surface lies across it
/// (judge/closed_opening.hpp), and such a pin where one lies at its foot, was not made: it fails,
/// whatever is asked. One that a surface lies across where its wall was measured may not go
/// through: undecided, also for its bolt.
/// Listed when the plan asks nothing of it. Undecided, with its reason, when the hole is not in the
/// design, was not seen, or the scan's place on the design is not sure.
[[nodiscard]] HoleResult judge_hole(const HoleCheck& check, const HoleEvidence& evidence);

}  // namespace trammel
