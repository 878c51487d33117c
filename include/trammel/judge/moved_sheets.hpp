#pragma once

/// Sheet that was bent of which one side is part of a larger face: an ear whose top is level with
/// the rim it stands out from.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Makes a face of its own of the part of a larger one that lies behind a face and moved with it,
/// so that the two make a wall: read apart, its one side has a blob and the other lacks material,
/// and to grind and fill them would destroy it. Parted are only faces of which the rest stayed:
/// half as far off at most, and the two sides differ by half of their own size at most.
/// @param deviation_mm  #C, NaN where there is no reading
/// @param matters_mm    #C, smallest deviation that is worth telling
/// @param thickest_mm   no wall is thicker
/// @param faces         gets the new faces at its end
/// @param face_of_cell  #C, index of the flat face, −1 on the rest
void part_moved_sheets(const SurfaceCells& cells, const Eigen::VectorXd& deviation_mm,
                       const Eigen::VectorXd& matters_mm, double thickest_mm,
                       std::vector<FlatFace>& faces, Eigen::VectorXi& face_of_cell);

}  // namespace trammel
