#pragma once

/// Self-distrust: readings are measured again by other means, and a verdict rests on them only when
/// both agree.

#include <Eigen/Geometry>
#include <cstddef>

#include "trammel/base/random.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

struct ProofSettings {
  std::size_t points = 1000;  ///< drawn at random, with repeats; 0 = every point
  /// Fewer points are drawn where points times triangles would be more, but at least ten: 1,000 of
  /// up to 50,000 triangles, 18 of 2.8 million. That takes at most some 0.2 s on two threads.
  double most_work = 5.0e7;
};

/// Measures readings again by trying every triangle (geometry/every_triangle.hpp). Of each reading
/// it holds:
/// - TooFar: no triangle lies within the reach. All others: one does.
/// - The foot lies on the triangle that is named, and is that triangle's closest point.
/// - Measured: the distance is that from the point to its foot, and it is that of the nearest of
/// all
///   triangles, or of the nearest of those that look the point's way. On thin sheet the latter need
///   not be the nearest; that none of those is nearer is what is proven then.
/// - The sign is that of the height over the triangle. Where the foot lies on a side or a corner of
///   it, it may instead be that of the surface's direction there, or at the nearest foot of all.
/// - Inside: it is negative, and the surface looks away from the point.
/// - `inferred` readings speak of another place; of them the foot, the sign and a length within the
///   design's size are held.
/// Distances agree within a millionth of a mm, or 1e-9 of the design's diagonal where that is more.
/// @param normals   3 × #P as `facing_normals` gives them
/// @param settings  those that `compare` had
/// @return          what was measured again
/// @throws Error Internal with the point, what was read and what was found
[[nodiscard]] Proof prove_readings(const Scan& scan, const Eigen::Matrix3Xd& normals,
                                   const Mesh& design, const Eigen::Isometry3d& T_design_scan,
                                   const CompareSettings& settings, const Deviations& deviations,
                                   Rng rng, const ProofSettings& proof = {});

}  // namespace trammel
