#pragma once

/// The cells as a viewer turns them: whole numbers in place of mm, and no more cells than stay
/// smooth, within an error that is stated.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// Whole numbers that stand for an unseen cell.
constexpr std::int16_t kUnseenReading = -32768;

struct ViewerMesh {
  Eigen::Vector3d origin_mm = Eigen::Vector3d::Zero();  ///< of place (0, 0, 0)
  double place_step_mm = 1.0;                           ///< one unit of a place
  double reading_step_mm = 1.0;                         ///< one unit of a reading
  std::vector<std::uint16_t> places;                    ///< 3 a vertex: x, y, z
  std::vector<std::uint32_t> corners;  ///< 3 a cell: vertices, counter-clockwise from outside
  std::vector<std::int16_t> corner_readings;  ///< 3 a cell, for colours that change smoothly
  std::vector<std::int16_t> readings;         ///< one a cell
  std::vector<std::uint16_t> regions;         ///< one a cell: id of its region as shown, 0 in none
  std::vector<std::uint16_t> bands;           ///< one a cell: 0 the plan's, 1 + its zone's index
  std::vector<std::uint16_t> edges;           ///< 6 an edge of the part: two places
  std::size_t cells_of_design = 0;            ///< before any were joined
  double place_error_mm = 0.0;                ///< no vertex is shown farther from its place
  double reading_error_mm = 0.0;  ///< no cell's reading is shown farther from what it was

  [[nodiscard]] std::size_t size() const { return readings.size(); }
};

struct ViewerMeshSettings {
  std::size_t most_cells = 185'000;  ///< some 6.7 MB of the page
  std::size_t most_edges = 30'000;   ///< some 0.5 MB; where there are more, the sharpest are drawn
};

/// As many cells as there are when they are few enough. Otherwise neighbours that came of one cut
/// and read nearly alike are joined, first within an eighth of U, then within more; and where the
/// design itself has too many triangles, vertices are drawn together on a coarser grid. Cells of
/// different regions or bands, or seen and unseen, are never joined.
/// @param corners_mm  3 × #C, as `corner_deviations` gives them
[[nodiscard]] ViewerMesh viewer_mesh(const Inspection& inspection,
                                     const Eigen::Matrix3Xd& corners_mm,
                                     const ViewerMeshSettings& settings = {});

}  // namespace trammel
