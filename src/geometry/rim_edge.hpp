#pragma once

/// How the points of a scanned face leave off at the rim of an opening, for the fits of round rims
/// and of slots.

namespace trammel {

/// Share of points that belong to no face: each costs an opening no more than this allows.
inline constexpr double kStrayShare = 0.001;
/// How far off the smear may be that is assumed along the rim, in standard deviations of itself: a
/// sharp rim taken for a smeared one comes out a third of the smear too wide.
inline constexpr double kSmearError = 0.34;
/// A covered opening holds 1 of the points that a face there would.
inline constexpr double kMostFilled = 0.05;
/// Share of a normal distribution beyond two standard deviations, to one side.
inline constexpr double kBeyondTwoSigma = 0.0228;
/// A point farther outside, in smears, says nothing.
inline constexpr double kEdgeReach = 4.0;

/// Probability that a point so far outside the rim, in smears (1 σ), is one of the face.
[[nodiscard]] double part_of_face(double u);

/// Its logarithm, from a table, within 5e-6; 0 beyond `kEdgeReach`. The fits ask for it many
/// millions of times.
[[nodiscard]] double log_part_of_face(double u);

}  // namespace trammel
