#pragma once

/// The plane that mirrors a thing onto itself, found though parts are missing or differ.

#include <optional>

#include "trammel/base/random.hpp"
#include "trammel/model/squared.hpp"
#include "trammel/square/patches.hpp"

namespace trammel {

/// Candidates from pairs of patches that could be each other's mirror image [after Mitra, Guibas &
/// Pauly 2006, doi:10.1145/1141911.1141924], scored by the share of patches whose image lies on the
/// surface; the best refined by robust point-to-plane least squares of the images on the surface.
/// Not found below a share of 0.5, or when a plane turned by more than 5° or moved by more than 2 %
/// of the diagonal does nine tenths as well.
/// @param up  unit; only planes that hold it (to 3°) count; nothing: any plane
[[nodiscard]] FoundPlane symmetry_plane(const Patches& patches,
                                        const std::optional<Eigen::Vector3d>& up, Rng rng);

}  // namespace trammel
