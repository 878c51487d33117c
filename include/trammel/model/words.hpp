#pragma once

/// The few phrases that verdict and sheet share, so that both speak alike.

#include <Eigen/Core>
#include <string>

#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// "+X", "−Y +Z": the axes a direction mostly runs along; parts below 0.38 of its length are left
/// out.
[[nodiscard]] std::string direction_words(const Eigen::Vector3d& direction);

/// "(30.0, 12.5, 3.0)", mm.
[[nodiscard]] std::string place_words(const Eigen::Vector3d& point_mm);

/// Decimals that a limit and an uncertainty deserve: one finer than the limit's own, 1 to 3.
[[nodiscard]] int decimals_for(double limit_mm);

/// A measured flatness, angle or the like with its unit: "0.12 mm", "89.64°"; a third decimal where
/// U is below 0.02.
/// @param value, uncertainty  mm, of an angle radians
[[nodiscard]] std::string form_figure(double value, FormKind kind, double uncertainty);

/// A limit of one with its unit and the decimals it needs, two to three: "0.20 mm", "0.025 mm".
[[nodiscard]] std::string form_limit(double value, FormKind kind);

/// What a region with an absence is: "hole of about 5.0 mm that the design does not have", "what
/// the design has there was not made", "there is no material", "material is cut away through the
/// edge".
[[nodiscard]] std::string absence_words(const Region& region);

/// "16 × 16 × 12 mm along X, Y, Z"; what is below 10 mm with a digit more.
[[nodiscard]] std::string size_words(const Box& box);

}  // namespace trammel
