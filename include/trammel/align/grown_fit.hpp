#pragma once

/// A part that came out larger or smaller than drawn, and else as drawn: a print that shrank. How
/// much it grew is fitted along with where it lies, so that every face is known for what it is.

#include <Eigen/Core>
#include <optional>

#include "trammel/align/rivals.hpp"
#include "trammel/align/scan_sample.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

struct GrownFit {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();  ///< of the points as sized
  Eigen::Vector3d growth = Eigen::Vector3d::Ones();  ///< part / design, along the design's axes
  double sigma_mm = 0.0;                             ///< scatter of what lies on the design
  ScanSample sized;  ///< the points brought to the design's size, scan frame
};

/// Fits motion and growth together, first by one factor, then by one along each axis of the design.
///
/// A rigid fit of a part that shrank by 2 % lays some of its faces on the design and leaves the
/// rest off, and which it lays there is chance: held at one end it fits as well as at the other.
/// @param rigid  the rigid fit to begin with
/// @return nothing where growth is not what is wrong: of the points that lie no farther from the
///         design than it goes it must bring 9 in 10 onto it and leave at most half of the mean
///         square of their distances (noise taken off); it must lie beyond four of its standard
///         errors, and be at most 6 %
[[nodiscard]] std::optional<GrownFit> fit_grown(const FineStage& stage, const SurfaceFit& rigid);

/// The pose of the part as it is, not sized: least squares of the distances from its points to the
/// planes of the faces that they lie on when sized. What growth leaves off is spread over all.
/// @param sized  a stage of the sized points, and a pose of these that fits
/// @return `at` with that pose and the root mean square there; its evidence stays
[[nodiscard]] Rival as_it_is(const FineStage& stage, const FineStage& sized, Rival at);

/// Of a pose that fits the sized points: the scale of the part as it is.
[[nodiscard]] ScaleEstimate scale_as_it_is(ScaleEstimate of_sized, const Eigen::Vector3d& growth);

}  // namespace trammel
