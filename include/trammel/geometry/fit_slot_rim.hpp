#pragma once

/// The slot inside which a spread of points on a plane leaves off.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

namespace trammel {

/// A slot on a plane.
struct FlatSlot {
  Eigen::Vector2d center_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0, half_straight_mm = 0.0;
  double turn_rad = 0.0;  ///< of the long direction, from x towards y
};

struct FittedSlotRim {
  bool is_open = false;     ///< a slot of about the expected size holds no points to speak of
  double seen_share = 0.0;  ///< of the rim next to which points lie, of the end or flat with the
                            ///< least; 0: the rest does not hold
  FlatSlot slot;
  /// Of centre along and across, radius, half the straight length (mm), turn (rad), as in fit_slot.
  Eigen::Matrix<double, 5, 5> covariance = Eigen::Matrix<double, 5, 5>::Zero();
  int points = 0;  ///< within half a radius of the rim
};

/// As `fit_rim` takes them, the points are a Poisson process of even density outside the rim and
/// none inside, smeared by a normal distribution; the slot and its errors are the mean and spread
/// of all slots, weighted by their likelihood. Five unknowns are too many for a lattice: they are
/// walked over at random (Metropolis et al. 1953), with steps of the spread found so far, from the
/// slot through the innermost point of each stretch. The same numbers for the same seed. Stretches
/// in which the points begin far off the rim count as unseen: there nothing is gained nor lost.
/// @param points    from the expected centre, x along, mm; those farther than half a radius beyond
///                  the rim do not matter
/// @param smear_mm  > 0, 1 σ
/// @param expected  about the origin, not turned; radius and straight length > 0
[[nodiscard]] FittedSlotRim fit_slot_rim(const std::vector<Eigen::Vector2d>& points,
                                         double smear_mm, const FlatSlot& expected,
                                         std::uint64_t seed = 1);

}  // namespace trammel
