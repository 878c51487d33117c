#pragma once

/// The truth about a part that was made otherwise than drawn: how far each place of its surface is
/// off, known from how it was made, without scan, search or fit of Trammel's.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <vector>

#include "study/random_parts.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// Dense samples of the real surface, each with the drawn surface that it was made from.
struct TrueSurface {
  Eigen::Matrix3Xd drawn_mm;  ///< 3 × #S, where the sample was drawn
  Eigen::Matrix3Xd real_mm;   ///< 3 × #S, where it is; same frame
  Eigen::Matrix3Xd normal;    ///< 3 × #S, unit, drawn, outward
  Eigen::VectorXd area_mm2;   ///< #S
  Eigen::VectorXi round;      ///< #S, index into `walls`, −1 on flat surface
  std::vector<RoundWall> walls;

  /// Signed distance of the moved sample from the drawn surface it was made from: from its plane,
  /// or by its distance to the axis of its round wall. + outside the material.
  [[nodiscard]] Eigen::VectorXd deviations(const Eigen::Isometry3d& motion) const;

  /// Largest value that is reached or exceeded over that much area, on the proud or on the shy
  /// side, whichever is more; mm.
  [[nodiscard]] double level_mm(const Eigen::Isometry3d& motion, double area_mm2) const;
  /// Area beyond the limit on the proud or on the shy side, whichever is more.
  [[nodiscard]] double area_beyond(const Eigen::Isometry3d& motion, double limit_mm) const;
};

/// One sample a triangle, at its middle. @param real  the same triangles with their corners moved
[[nodiscard]] TrueSurface true_surface(const Recipe& recipe, const Mesh& drawn, const Mesh& real);

/// Adds a hole's wall as it was made in place of the drawn one: samples of that wall are dropped.
/// @param hole  index into recipe.holes
/// @param made  where and how wide it is
void replace_hole(TrueSurface& surface, const Recipe& recipe, std::size_t hole,
                  const PartHole& made);

/// Σ area · |deviation|^power least, for the motion of the real part (power 2 and up), by
/// iteratively reweighted least squares; with `reach_mm` > 0 instead the robust fit
/// Σ area · min(deviation², reach²), as one would lay a part on its good surface.
[[nodiscard]] Eigen::Isometry3d fitted(const TrueSurface& surface, double power,
                                       double reach_mm = 0.0);

/// Of the motions that one could hold the part by (as made, least squares, on most of its surface,
/// least largest deviation), the one that leaves the least area beyond the limit, and of those the
/// least level.
[[nodiscard]] Eigen::Isometry3d kindest_motion(const TrueSurface& surface, double limit_mm,
                                               double least_area_mm2);

}  // namespace trammel::test
