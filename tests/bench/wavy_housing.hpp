#pragma once

#include "trammel/model/mesh.hpp"

namespace trammel::bench {

/// The housing of the tests, cut finer and made gently wavy, so that no two faces lie in one plane.
[[nodiscard]] Mesh wavy_housing(Eigen::Index least_triangles);

}  // namespace trammel::bench
