#pragma once

/// Flatness, parallelism, perpendicularity, angles and wall thickness of the plan: measured in the
/// scan and judged.

#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/measure_face.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the measurement rests on; references live as long as the call.
struct FormEvidence {
  const Plan& plan;
  const SurfaceIndex& design;
  const SurfaceCells& cells;
  const CellReadings& readings;
  double expanded_uncertainty_mm = 0.0;  ///< U of one reading within the scan, k = 2
  double noise_mm = 0.0;                 ///< 1 σ of single readings
  MeasureFaceSettings faces{};
};

/// Measures and judges each by `decide`; how the scan lies on the design does not matter to any.
/// - Flatness: the minimum zone of the face (ISO 1101), averaged over blocks (judge/face_form.hpp);
///   a strip as wide as half a block along its edges is left out.
/// - Parallelism, perpendicularity: the width of the zone parallel, or square, to the datum face's
///   least-squares plane that holds the face.
/// - Angle: between the least-squares planes of two faces, 180° less the angle of their normals, as
///   a drawing gives the two legs of a bend from inside or outside; where the plan's nominal angle
///   lies nearer to what is left to 180°, that.
/// - Thickness: at each block of the wall, from the face to the one across from it
///   (judge/measure_wall.hpp): all of them must lie within the limits (the local size of ISO
///   14405-1, from memory).
///
/// The tolerance is the plan's figure, or a class's: for flatness and parallelism by the longer
/// side of the face, for angles and perpendicularity by the shorter leg (a face's reach across the
/// line where both would meet), for thickness by the nominal size.
///
///   U_flatness²    = (2 r)² + 2 U²
///   U_parallelism² = (2 r)² + 2 U² + Σ over k of ((t s_k)² + 2 U² / L_k²) e_k²
///   U_perpendicularity²: the same, of the datum's tilt towards the face alone
///   U_angle²       = Σ over faces and k of ((t s_k)² + 2 U² / L_k²) c_k²
///   U_thickness²   = r² + (2 U)²
/// r is what noise can make of the outermost block. U of one reading bounds what readings of one
/// place have in common: two places off opposite ways are √2 U apart and tilt a plane by √2 U over
/// their distance; the two sides of a wall are both off outward. k runs over the two axes of a
/// measured plane, s_k is its slope's standard error there and L_k how far its readings reach, e_k
/// how far the other face reaches that way, c_k the share of that axis in the leg.
///
/// What is proven to be out fails. What lies within passes only where enough of each face (of both
/// sides of a wall) was seen, without a gap (`why_not_all_seen`). Undecided, with its reason,
/// otherwise: when a face is not in the design or not flat there, was not seen or is too small or
/// narrow, when faces are not parallel (square) to 1° in the design, or are parallel (for an
/// angle), when the nominal angle is 10° or more from the design's, when the wall has no flat
/// parallel other side, or when the class gives nothing for the size.
[[nodiscard]] std::vector<FormResult> judge_forms(const FormEvidence& evidence);

}  // namespace trammel
