#pragma once

/// Triangles with the same three corners as another.

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// Which triangles to keep; #F. Of several with the same corners and winding the first stays.
///
/// Two of opposite winding are a wall without thickness. Both go where they bound no material
/// between them: where no edge is torn open by that (walls inside a solid, flaps on it). Where one
/// would be, or where most of the mesh is such pairs (a sheet drawn with both its sides), the first
/// stays.
/// @param triangles  3 × #F, each with three different corners
[[nodiscard]] std::vector<bool> without_repeated(const Eigen::Matrix3Xi& triangles,
                                                 Eigen::Index vertex_count);

}  // namespace trammel
