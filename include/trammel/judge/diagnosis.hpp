#pragma once

/// What went wrong, in words: the deviation broken down into the few flaws that the data carry.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/model/flaw.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// What a diagnosis rests on; references live as long as the call.
struct DiagnosisEvidence {
  const FlatFaces& flat;  ///< of the design
  const SurfaceCells& cells;
  const CellReadings& readings;
  const Plan& plan;
  double expanded_mm = 0.0;  ///< U (k = 2) of one reading
  double spacing_mm = 0.0;   ///< of the scan
};

struct Diagnosis {
  std::vector<Flaw> flaws;       ///< by the share that they explain, largest first
  Eigen::VectorXd explained_mm;  ///< #C, what the flaws make of each cell
  Eigen::VectorXd motion_mm;     ///< #C, of that what the pose does that the flaws pulled along
};

/// Readings are pooled until they are independent, then explained by shrink, skin and the forms of
/// flat faces and walls (explain.hpp); what flat faces show beyond that are dents and blobs.
/// A flaw is told where it moves some place by more than U of one reading and more than a fifth of
/// the tighter limit there: less can neither be known nor does it matter. A dent or blob must
/// also explain a hundredth of the misfit. What a bent wall carries (carried_faces.hpp) is told
/// with the wall alone; sheet whose one side is part of a larger face counts as a wall where both
/// its sides moved (moved_sheets.hpp). Where the part may lie on a wall that was moved, so that all
/// the rest seems off, that is told if it takes fewer flaws, or leaves half as much. A part without
/// such a flaw is told nothing. Missing surface
/// (`CellReadings::missing`) has no form: it is left out.
[[nodiscard]] Diagnosis diagnose(const DiagnosisEvidence& evidence);

}  // namespace trammel
