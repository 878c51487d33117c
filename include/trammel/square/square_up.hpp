#pragma once

/// Puts a scan square to its axes: Z up, X forward, origin where the user says.

#include <optional>

#include "trammel/base/random.hpp"
#include "trammel/model/squared.hpp"

namespace trammel {

struct SquareSettings {
  std::optional<Eigen::Vector3d> up_mm;       ///< on the face that shall lie level
  std::optional<Eigen::Vector3d> above_mm;    ///< a place that lies above that face
  std::optional<Eigen::Vector3d> forward_mm;  ///< a place in the front half
  std::optional<Eigen::Vector3d> rear_mm;     ///< with it, forward runs from here to there
  std::optional<Eigen::Vector3d> origin_mm;   ///< becomes the origin
};

/// Up from the level plane (which side of it: way_up), forward along the plane of symmetry (or
/// between two picked places); the origin on the level plane, in the plane of symmetry, under the
/// middle of the box. What could not be known is said in the notes, `certain` is false, and the
/// axis is the box's.
/// @param scan  tidied, mm
[[nodiscard]] Squared square_up(const Scan& scan, const SquareSettings& settings, const Rng& rng);

}  // namespace trammel
