#pragma once

/// The distances of the plan: nominal from the design, actual from the scan, judged.

#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/measure_face.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the measurement of distances rests on; references live as long as the call.
struct DistanceEvidence {
  const Plan& plan;
  const SurfaceIndex& design;
  const std::vector<HoleResult>& holes;  ///< of the plan, in its order
  const SurfaceCells& cells;
  const CellReadings& readings;
  double expanded_uncertainty_mm = 0.0;  ///< U of one reading, k = 2
  double alignment_error_mm = 0.0;       ///< 1 σ at the corner of the part that is held least
  MeasureFaceSettings faces{};
};

/// Measures and judges each distance of the plan by `decide`. What is measured depends on the ends:
/// - two holes: between their axes at mid depth, across the axes, which must be parallel to 1°;
/// - two flat faces, parallel to 1° in the design: along the drawn normal of the first, each face
///   read at the place given on it. Where the made faces lean, the distance holds at these places;
/// - a hole and a flat face that its axis is parallel to (to 1°): along the face's drawn normal.
///
/// Limits are counted from the plan's nominal size, or from the design's, rounded to 1 µm (a mesh
/// of floats is no finer, and a class must not change with its last bit).
///   U_hole² = (2 s_center)² + U²,   U_face² = (t s_height)² + U²
///   U_distance² = U_from² + U_to² + (2 s_alignment · b / r)², and two faces that look opposite
///   ways
/// count 2 U² once more: what all readings have in common then counts twice (2 U), not in squares.
/// Where the whole scan lies does not matter to a distance, but how it is turned does where the
/// ends do not lie opposite each other: b is how far they stand beside each other, r half the
/// diagonal of the part. Such a distance is said to hold as the part is held.
///
/// Undecided, with its reason, when an end is not in the design or was not measured (a hole of
/// which one rim alone was seen counts as such), the ends have no distance as above, or the class
/// gives nothing for the size.
[[nodiscard]] std::vector<DistanceResult> judge_distances(const DistanceEvidence& evidence);

}  // namespace trammel
