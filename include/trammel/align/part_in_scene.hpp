#pragma once

/// A small part in a large scan: the stretch of the scan that it lies in, and whether it is it.

#include <string>
#include <vector>

#include "trammel/align/part_evidence.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// A pose somewhere in a large scan, refined on the true surface.
struct PlaceInScene {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
  PartEvidence evidence;
};

/// What `seen` is worth: all of it where the scan lies on the design and ends with it, nothing
/// where a third of what lies near does not lie on it, or a fifth of the border runs on.
[[nodiscard]] double worth_of(const PartEvidence& evidence);

/// Places all over the scan (scene_search.hpp), best first by what they are worth.
[[nodiscard]] std::vector<PlaceInScene> places_in_scene(const Scan& scan,
                                                        const SurfaceIndex& design,
                                                        const CoarseDesign& coarse, const Rng& rng);

/// The scan about the design in a pose, a little more than the design's box.
[[nodiscard]] Scan piece_about(const Scan& scan, const Eigen::Isometry3d& T_design_scan,
                               const CoarseDesign& coarse);

/// The place of a pose, with the evidence at it.
/// @param piece  as `piece_about` cuts it out
[[nodiscard]] PlaceInScene place_at(const Scan& piece, const SurfaceIndex& design,
                                    const CoarseDesign& coarse,
                                    const Eigen::Isometry3d& T_design_scan, const Rng& rng);

/// Why the part may not be held for found there; empty when it may. Asked of a pose that explains
/// little of the scan, so that the scan itself does not speak for it:
/// - at least a quarter of the design's surface was found,
/// - nine tenths of what was scanned within 2 % of the diagonal lie on the design; eight, as where
///   a bench or a clamp touches it, if half of its surface was found, nothing runs on and nothing
///   lies in the material,
/// - the scan ends where the design ends: of the border of what lies on it at most 2 % runs on,
/// - next to nothing was scanned inside the material.
[[nodiscard]] std::vector<std::string> doubts_of_place(const PartEvidence& evidence);

/// The first place in the list that lies elsewhere (its middle a quarter of the diagonal or more
/// from the pose's) and is worth nearly as much (four fifths); nullptr when there is none.
[[nodiscard]] const PlaceInScene* as_good_elsewhere(const std::vector<PlaceInScene>& places,
                                                    const PlaceInScene& held,
                                                    const CoarseDesign& coarse);

}  // namespace trammel
