#pragma once

/// The verdict: regions beyond their bands, holes, slots, coverage, and the decision rule of ISO
/// 14253-1.
///
/// Pass only where conformity is proven, fail only where non-conformity is proven, otherwise
/// undecided with its reason. Nothing unseen, ambiguous or unconverged can pass.

#include "trammel/geometry/find_holes.hpp"
#include "trammel/geometry/find_slots.hpp"
#include "trammel/geometry/flat_faces.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/grips.hpp"
#include "trammel/model/inspection.hpp"

namespace trammel {

/// What the judgement rests on; references live as long as the call.
struct Evidence {
  const Plan& plan;
  const SurfaceIndex& design;
  const MeshHealth& design_health;
  const Scan& scan;
  const Eigen::Matrix3Xd& normals;  ///< of the scan, design frame, facing out
  const TidyCounts& tidy;
  const UnitChoice& units;
  const Alignment& alignment;
  const Deviations& deviations;
  const std::vector<Grip>& grips;  ///< set aside in the deviations
  const CellTree& tree;            ///< of the design
  const CellReadings& readings;
  const FoundHoles& design_holes;  ///< all of the design
  const FoundSlots& design_slots;  ///< likewise
  const FlatFaces& design_faces;   ///< likewise
  const std::vector<Mate>& mates;  ///< of the plan, in its order
};

struct Judgement {
  Verdict verdict;
  Eigen::VectorXi region_of_cell;  ///< #C, region id or 0
  std::vector<std::string> notes;  ///< on the plan, that no verdict hangs on
};

[[nodiscard]] Judgement judge(const Evidence& evidence);

}  // namespace trammel
