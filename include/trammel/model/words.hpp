#pragma once

/// The few phrases that verdict and sheet share, so that both speak alike.

#include <Eigen/Core>
#include <string>

namespace trammel {

/// "+X", "−Y +Z": the axes a direction mostly runs along; parts below 0.38 of its length are left
/// out.
[[nodiscard]] std::string direction_words(const Eigen::Vector3d& direction);

/// "(30.0, 12.5, 3.0)", mm.
[[nodiscard]] std::string place_words(const Eigen::Vector3d& point_mm);

/// Decimals that a limit and an uncertainty deserve: one finer than the limit's own, 1 to 3.
[[nodiscard]] int decimals_for(double limit_mm);

}  // namespace trammel
