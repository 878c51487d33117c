#pragma once

/// The plane that shall lie level: floor, bench or a picked face.

#include <optional>

#include "trammel/base/random.hpp"
#include "trammel/model/squared.hpp"
#include "trammel/square/patches.hpp"

namespace trammel {

/// The patch lies on the plane as far as noise tells, and leans from it by no more than a small
/// patch's normal may: 16°.
[[nodiscard]] bool lies_on(const FoundPlane& plane, const Patches& patches, Eigen::Index patch);

/// The plane with most of the surface on it; or, with `picked_mm`, the flat face at that place.
/// Refined by Tukey's biweight. Its normal points to the side where more of the scan lies. The
/// standard error counts patches of 1/12 of the diagonal, not points, as independent where that
/// gives the larger one.
/// Not found when less than 5 % of the surface lies on it (a picked face: fewer than 20 patches),
/// or when another plane, turned by more than 20°, holds nine tenths as much.
[[nodiscard]] FoundPlane level_plane(const Patches& patches,
                                     const std::optional<Eigen::Vector3d>& picked_mm, Rng rng);

}  // namespace trammel
