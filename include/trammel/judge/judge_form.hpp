#pragma once

/// Flatness, parallelism and angles of the plan: measured in the scan and judged.

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
  double expanded_uncertainty_mm = 0.0;  ///< U of one reading, k = 2
  double noise_mm = 0.0;                 ///< 1 σ of single readings
  MeasureFaceSettings faces{};
};

/// Measures and judges each by `decide`; how the scan lies on the design does not matter to any.
/// - Flatness: the minimum zone of the face (ISO 1101), readings averaged over blocks
///   (judge/face_form.hpp).
/// - Parallelism: the width of the zone parallel to the datum face's least-squares plane that holds
///   the face.
/// - Angle: between the least-squares planes of two faces, 180° less the angle of their normals, as
///   a drawing gives the two legs of a bend from inside or outside; where the plan's nominal angle
///   lies nearer to what is left to 180°, that.
///
/// The tolerance is the plan's figure, or a class's: for zones by the longer side of the face, for
/// angles by the shorter leg (a face's reach across the line where both would meet).
///
///   U_flatness²    = w² + 2 U², w the width that noise alone would give
///   U_parallelism² = w² + 2 U² + Σ ((t s_k)² + 2 U² / L_k²) r_k²
///   U_angle²       = Σ over faces and k of ((t s_k)² + 2 U² / L_k²) c_k²
/// U of one reading bounds what readings of one place have in common; two ends that are off
/// opposite ways tilt a plane by √2 U over their distance. k runs over the two axes of a measured
/// plane, s_k is its slope's standard error there and L_k how far its readings reach, r_k how far
/// the other face reaches that way, c_k the share of that axis in the leg.
///
/// Undecided, with its reason, when a face is not in the design or not flat there, was not seen
/// well enough or is too narrow to tell how it leans; when faces are not parallel to 1° (for
/// parallelism) or are (for an angle); when the nominal angle is 10° or more from the design's; or
/// when the class gives nothing for the size.
[[nodiscard]] std::vector<FormResult> judge_forms(const FormEvidence& evidence);

}  // namespace trammel
