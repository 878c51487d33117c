#pragma once

/// The design's surface cut into small cells, and what the scan says of each.
///
/// Cells are what is judged, coloured and counted: regions are connected cells, areas are sums of
/// cell areas, an unseen cell is one that no scanned point lies opposite.

#include <Eigen/Core>
#include <cstdint>
#include <memory>
#include <vector>

namespace trammel {

class SurfaceRays;

/// Geometry of the cells. They tile the design's surface without gaps or overlaps.
struct SurfaceCells {
  Eigen::Matrix3Xd vertices_mm;  ///< 3 × #W; the design's own vertices come first
  Eigen::Matrix3Xi cells;        ///< 3 × #C, wound as the design
  Eigen::VectorXi triangle;      ///< #C, design triangle that the cell is part of
  Eigen::Matrix3Xi neighbours;   ///< 3 × #C, cell across edge (k, k+1), −1 at borders
  Eigen::Matrix3Xd center_mm;    ///< 3 × #C
  Eigen::Matrix3Xd normal;       ///< 3 × #C, unit, outward
  Eigen::VectorXd area_mm2;      ///< #C
  double longest_edge_mm = 0.0;  ///< no cell edge is longer
  /// What straight lines meet of them, where it was made (`rays_of` in model/surface_rays.hpp).
  std::shared_ptr<const SurfaceRays> rays{};
  [[nodiscard]] Eigen::Index size() const { return cells.cols(); }
};

/// What the scan says of each cell.
struct CellReadings {
  Eigen::VectorXd deviation_mm;    ///< #C median of the readings around the cell, NaN where unseen
  Eigen::VectorXi support;         ///< #C scan points behind that median, 0 where unseen
  std::vector<std::uint8_t> seen;  ///< #C, 1 where a scanned surface lies opposite
  Eigen::VectorXi cell_of_point;  ///< #P cell that a scan point's foot is in, −1 where not measured
  /// #C, 1 where at least half of those readings are ways through missing material: they say that
  /// the surface is not there, not how far off it lies. May be empty: nowhere.
  std::vector<std::uint8_t> missing{};
  [[nodiscard]] bool is_missing(Eigen::Index cell) const {
    return !missing.empty() && missing[static_cast<std::size_t>(cell)] != 0;
  }
};

struct SurfaceMap {
  SurfaceCells cells;
  CellReadings readings;
  Eigen::VectorXi region;  ///< id of the region (1, 2, …) that the cell is in, 0 in none
};

}  // namespace trammel
