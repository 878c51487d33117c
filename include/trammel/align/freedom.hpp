#pragma once

/// How firmly the points hold the pose, and what scale they would take were it free.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/align/surface_fit.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct Freedom {
  Matrix6d information = Matrix6d::Zero();  ///< for independent errors, about `center_mm`
  Matrix6d covariance = Matrix6d::Zero();   ///< also for errors that neighbours share
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< centroid of the points that count
  double standard_error_mm = 0.0;                       ///< 1 σ, at the worst corner of the box
  double held_error_mm = 0.0;                           ///< the same without the free directions
  std::vector<std::string> free_directions;
  ScaleEstimate scale;
};

/// - Information: W S⁻¹ W / σ² over the points with weight, W = Σ b JJᵀ, S = Σ b² JJᵀ, b the
/// balance
///   of directions and σ the scatter of the residuals; with even weights Σ JJᵀ / σ²,
///   J = [(p − c) × n, n] [Low 2004, eq. 10; Censi 2007 for its use as an inverse covariance].
/// - Covariance: form errors and scanner bias are shared by neighbours, which makes Σ JJᵀ far too
///   proud. So residuals are added up by patches of 1/12 of the diagonal, and only the patches
///   count as independent (the sandwich of Liang & Zeger 1986, doi:10.1093/biomet/73.1.13). In each
///   direction the larger of both counts; the standard error follows from it.
/// - Free directions: eigenvectors of Σ JJᵀ, centred, turns about each axis scaled so that their
///   unit moves the points by 1 (root mean square), with an eigenvalue below a hundredth of the
///   largest [Gelfand & Guibas 2004, "Shape segmentation using local slippage analysis"] whose two
///   standard errors move a corner by more than 0.1 mm and 1/2000 of the diagonal; and all those
///   below a thousandth, which only facets and rims hold.
/// - Scale: one more unknown beside the six, solved from the same points with the same weights;
///   then three instead of it, growth along each axis of the design.
/// @param points  matched at the solution
/// @param round  of a round design: the turn about it is left out, held neither well nor badly
[[nodiscard]] Freedom freedom_of(const std::vector<Correspondence>& points, double sigma_mm,
                                 const Box& design_box, const std::optional<RoundAxis>& round = {});

/// Largest 1 σ displacement of a corner of the box, for a covariance of (rotation about
/// `center_mm`, translation).
[[nodiscard]] double error_at_corners_mm(const Matrix6d& covariance,
                                         const Eigen::Vector3d& center_mm, const Box& box);

}  // namespace trammel
