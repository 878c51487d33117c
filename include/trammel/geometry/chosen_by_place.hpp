#pragma once

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// About `count` of the points, spread evenly among them, chosen by where they lie: the same ones
/// in whatever order they come. Where their places choose far fewer (many points in few places),
/// and where there are no more than `count`, every nth point in their order.
/// @param points  3 × n; points that are not finite are never chosen
/// @return numbers of the points, ascending
[[nodiscard]] std::vector<Eigen::Index> chosen_by_place(const Eigen::Matrix3Xd& points,
                                                        Eigen::Index count);

}  // namespace trammel
