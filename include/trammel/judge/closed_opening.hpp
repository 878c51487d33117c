#pragma once

/// Whether a scanned surface lies across a hole or slot of the design, or where a pin should stand.

#include <Eigen/Core>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/tell_wall.hpp"
#include "trammel/model/deviations.hpp"

namespace trammel {

[[nodiscard]] Opening opening_of(const DesignHole& hole);

/// What is known of the scan; references live as long as the call.
struct OpeningEvidence {
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P scan points, design frame
  const Eigen::Matrix3Xd& normals;    ///< 3 × #P unit, out of the material
  const Deviations& deviations;       ///< one a point
  double coating_mm = 0.0;            ///< matting spray
  double noise_mm = 0.0;              ///< 1 σ of single readings
  double spacing_mm = 0.5;            ///< of the scan
  bool normals_estimated = false;     ///< not the scan's own
};

struct PointsAround {
  Eigen::Matrix3Xd points_mm, normals;  ///< 3 × #N
  bool closed = false;                  ///< of a pin: it is missing
};

/// The scan's points within `reach_mm` of the opening's middle line (and a quarter of its depth
/// beyond its ends), to measure it by, and whether they close it. Where normals were estimated, a
/// point next to a rim is the wall's or the face's by its level (`tell_wall`).
///
/// Closed: scanned points that look along the axis lie over 60 % of the opening's middle (0.85 of
/// its radius, and four standard deviations of the noise inside it: of a hole with no such middle
/// nothing is known): between its ends whichever way they look, level with an end only where they
/// look out of it (where normals were estimated and the face about the other mouth was scanned:
/// only if that about this one was too, which a skin goes on in and a bench behind it does not);
/// not those read on a surface that is drawn in there, such as a pin in a round pocket. So neither
/// the floor of a blind hole nor the bench seen through counts, a skin over the mouth and a floor
/// too many do. Nor do strays count, which are level with none of their kind; and something lies in
/// either half of the middle, however it is halved, and in its core, where the face about a hole
/// made too small does not reach.
///
/// A pin is missing when such points, looking out of either end, lie lower than half of its length
/// and not on its drawn surface: the face that it should stand on goes on beneath it. Not where ten
/// points lie on its end: a ring on a plate stands there, whatever its bore shows.
[[nodiscard]] PointsAround points_around(const Opening& opening, double reach_mm,
                                         const OpeningEvidence& evidence);

/// The same of a hole that was drilled beside its place: a surface across where it is drawn is no
/// floor of it.
/// @param drawn  what is drawn inside this one does not close it; a floor that lies under a face of
///               the design beside it does
/// @param found  where the scan has it, as wide as it is there
[[nodiscard]] bool is_closed_where_found(const Opening& drawn, const Opening& found,
                                         const OpeningEvidence& evidence);

}  // namespace trammel
