#pragma once

/// Corners of a wall that are bent out of it: on one face a blob, on the other a dent.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/judge/local_flaws.hpp"

namespace trammel {

/// Joins a blob and a dent to one bent corner where they lie on the two faces of a wall, across
/// from each other (their worst places no farther apart than the wall is thick and half the root of
/// their area), are about as high as deep (to a factor of 1.5), and peak at a corner of the wall's
/// box (the outer fifth both ways). A corner keeps the figure, place and normal of the wall's front
/// and the cells of both; what is no corner stays as it is. Where the other face was not seen a
/// bent corner cannot be told from a blob or dent.
/// @param face_of_cell  #C, index into `faces` or −1
[[nodiscard]] std::vector<LocalFlaw> with_warped_corners(const std::vector<LocalFlaw>& patches,
                                                         const std::vector<FlatFace>& faces,
                                                         const std::vector<Wall>& walls,
                                                         const Eigen::VectorXi& face_of_cell);

}  // namespace trammel
