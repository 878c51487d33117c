#pragma once

/// Dents and blobs: patches of a flat face that stand out of what the rest of it does.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/model/flaw.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

struct LocalFlawSettings {
  double least_area_mm2 = 4.0;
  double most_face_share = 0.4;  ///< a patch larger than this is the face's own form
  std::size_t most = 3;
};

struct LocalFlaw {
  Flaw flaw;  ///< without words and share
  double area_mm2 = 0.0;
  std::vector<int> cells;  ///< ascending
};

/// Connected cells of a flat face whose rest exceeds `beyond_mm`, with a peak of twice that; the
/// largest volume first. The rest of a curved surface is left alone: a hole that is off its place
/// looks dented, and is told as a hole.
/// @param rest_mm       #C, readings less what explains the part as a whole; NaN where unseen
/// @param beyond_mm     #C, > 0
/// @param face_of_cell  #C, index into `faces` or −1
[[nodiscard]] std::vector<LocalFlaw> local_flaws(const SurfaceCells& cells,
                                                 const Eigen::VectorXd& rest_mm,
                                                 const Eigen::VectorXd& beyond_mm,
                                                 const Eigen::VectorXi& face_of_cell,
                                                 const std::vector<FlatFace>& faces,
                                                 const LocalFlawSettings& settings = {});

}  // namespace trammel
