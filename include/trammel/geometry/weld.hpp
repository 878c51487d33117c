#pragma once

/// Which vertices are one and the same place.

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// For every vertex the first vertex at exactly the same place (−0 counts as 0); #V.
/// O(#V), the same answer on every run.
[[nodiscard]] std::vector<int> first_at_same_place(const Eigen::Matrix3Xd& vertices_mm);

/// For every vertex the vertex it is joined to: itself unless it is one of `candidates` and another
/// candidate lies within `tolerance_mm`; #V. Groups are stars about one candidate, never chains, so
/// that no vertex moves farther than the tolerance.
[[nodiscard]] std::vector<int> nearest_within(const Eigen::Matrix3Xd& vertices_mm,
                                              const std::vector<int>& candidates,
                                              double tolerance_mm);

}  // namespace trammel
