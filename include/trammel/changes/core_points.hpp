#pragma once

/// The places at which change is measured, and the scales it is measured with.

#include <Eigen/Core>

#include "trammel/changes/m3c2.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// Points of the sparser cloud that a cylinder usually holds: their mean is five times as sure.
inline constexpr int kCylinderPoints = 25;

/// - d: the cylinder that holds about 25 points of the sparser cloud, the median over places.
/// - D: the smallest of 1, 1.5, 2, 3 and 4 d that is at least 25 times the roughness about its own
///   planes at four places in five [Lague et al. 2013 ask for 20 to 25; from memory], else 4 d.
/// - depth: 6 % of the old scan's diagonal, 10 mm at least.
/// - Core points lie 0.7 d apart, more where that would make more than `most_cores`.
[[nodiscard]] ChangeScales choose_scales(const Cloud& before, const Cloud& after,
                                         std::size_t most_cores = 60'000);

/// Spread evenly: no two nearer than `core_mm`, no place of the cloud farther than that from one;
/// over each face of thin sheet by itself, where the cloud's sides are known.
/// Each lies on the plane of its neighbours within D / 2, whose normal it has (turned like the
/// cloud's normals), and stands for its cell of the surface: nearer to it than to any other, as
/// far as the cloud goes. Nothing is measured yet.
[[nodiscard]] CorePoints spread_core_points(const Cloud& cloud, const ChangeScales& scales);

/// Area of what lies nearer to the origin than to any other point, within the polygon whose k-th of
/// K corners lies `reach[k]` from the origin at the turn 2π k / K: a Voronoi cell, cut off.
/// @param others  2 × n, in the plane
[[nodiscard]] double cell_area(const Eigen::Matrix2Xd& others, const Eigen::VectorXd& reach);

}  // namespace trammel
