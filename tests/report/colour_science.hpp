#pragma once

/// What an eye makes of an sRGB colour: CIE L*a*b* (D65), and colour-blind sight.

#include <Eigen/Core>

#include "trammel/report/colours.hpp"

namespace trammel::test {

enum class Sight { Normal, Protan, Deutan, Tritan };

/// Linear light of an sRGB colour, channels in [0, 1] (IEC 61966-2-1).
[[nodiscard]] Eigen::Vector3d linear_light(Rgb colour);

/// L*, a*, b* as seen by an eye (CIE 1976, D65 white). Colour-blind sight by the matrices of
/// Machado, Oliveira & Fernandes 2009 (doi:10.1109/TVCG.2009.113), severity 1.0, in linear light.
[[nodiscard]] Eigen::Vector3d lab_seen(Rgb colour, Sight sight);

/// CIE 1976 colour difference; about 2.3 is just noticeable (Mahy, Van Eycken & Oosterlinck 1994).
[[nodiscard]] double difference(Rgb a, Rgb b, Sight sight);

}  // namespace trammel::test
