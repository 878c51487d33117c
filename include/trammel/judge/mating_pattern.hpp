#pragma once

/// Where the bolts of a group stand: as a scan of the mate has them, laid on the part's holes.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/bolt_pattern.hpp"
#include "trammel/model/mate.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

/// Cosine of two degrees: what leans by less counts as parallel.
inline constexpr double kParallel = 0.9994;

/// Bolts laid on holes by least squares, turned and shifted in the plane but not mirrored.
struct LaidBolts {
  std::vector<Eigen::Vector2d> bolts_mm;  ///< moved, one a hole
  bool turn_is_sure = true;  ///< no turn beyond what `best_play` looks at lets all bolts through
};

/// Closed form: with z for the bolts and h for the holes as complex numbers from their means, the
/// turn is the angle of b = Σ z̄ h, and the least sum of squares is Σ |z|² + Σ |h|² − 2 |b|. A turn
/// by φ from there costs 2 |b| (1 − cos φ) more, but where all bolts go through the sum is no more
/// than Σ slack². So no such place lies farther off than φ once the cost at φ passes that.
/// @param slack_mm  how far each bolt may stand from its hole's middle, U added; ≥ 0 counts
[[nodiscard]] LaidBolts lay_bolts(const std::vector<Eigen::Vector2d>& holes_mm,
                                  const std::vector<Eigen::Vector2d>& bolts_mm,
                                  const std::vector<double>& slack_mm);

/// The mate's holes in the plane across them, seen from the side that the part comes from turned
/// round: as the part's holes are seen by who looks at the part's own face on the mate.
struct MatingPattern {
  std::string reason;                     ///< why it is not known; empty when it is
  std::vector<Eigen::Vector2d> bolts_mm;  ///< one a hole of the group
  std::vector<double> lean;               ///< tangent between a bolt and the square to the faces
  /// Whether mirrored would be another pattern and the scan does not tell which is right.
  bool may_be_mirrored = false;
};

/// Undecidable where a hole was not measured, the faces about the holes look different ways, or a
/// bolt leans from them (both to 2°).
/// @param names  of the part's holes, in the order of the mate's; for messages
[[nodiscard]] MatingPattern mating_pattern(const Mate& mate, const std::vector<std::string>& names);

/// The mirror image.
[[nodiscard]] std::vector<Eigen::Vector2d> mirrored(std::vector<Eigen::Vector2d> points_mm);

/// A mate as measured, and which way the part's own face on it looks.
struct SeatedMate {
  const Mate& mate;
  std::optional<Eigen::Vector3d> face_normal;  ///< design frame, unit, out of the part
  std::string reason;                          ///< why there is none; else empty
};

/// Finds for each mate the face of the design that the plan says lies on it.
/// @param asked     the plan's mates
/// @param measured  as many, in their order; fewer give fewer
/// @return refers to `measured`
[[nodiscard]] std::vector<SeatedMate> seated_mates(const std::vector<MateCheck>& asked,
                                                   const std::vector<Mate>& measured,
                                                   const SurfaceIndex& design);

}  // namespace trammel
