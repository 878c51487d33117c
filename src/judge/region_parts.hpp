#pragma once

/// Cells and scan points of each region, and the boxes about them.

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/judge/missing_places.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

inline Box empty_box() {
  return {Eigen::Vector3d::Constant(HUGE_VAL), Eigen::Vector3d::Constant(-HUGE_VAL)};
}

inline void include(Box& box, const Box& other) {
  box.low_mm = box.low_mm.cwiseMin(other.low_mm);
  box.high_mm = box.high_mm.cwiseMax(other.high_mm);
}

inline bool holds(const Box& box, const Eigen::Vector3d& p, double margin_mm) {
  return ((p - box.low_mm).array() >= -margin_mm).all() &&
         ((box.high_mm - p).array() >= -margin_mm).all();
}

inline bool holds(const Box& box, const Box& other, double margin_mm) {
  return holds(box, other.low_mm, margin_mm) && holds(box, other.high_mm, margin_mm);
}

class RegionParts {
 public:
  /// @param region_of_cell  #C, id or 0
  RegionParts(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
              std::size_t regions)
      : e_(evidence), cells_(regions + 1), points_(regions + 1) {
    for (Eigen::Index c = 0; c < region_of_cell.size(); ++c)
      if (region_of_cell[c] > 0)
        cells_[static_cast<std::size_t>(region_of_cell[c])].push_back(static_cast<int>(c));
    for (Eigen::Index i = 0; i < e_.readings.cell_of_point.size(); ++i) {
      const int cell = e_.readings.cell_of_point[i];
      if (cell >= 0 && region_of_cell[cell] > 0)
        points_[static_cast<std::size_t>(region_of_cell[cell])].push_back(i);
    }
  }

  [[nodiscard]] const std::vector<int>& cells_of(int id) const {
    return cells_[static_cast<std::size_t>(id)];
  }
  /// Scan points that are read there.
  [[nodiscard]] const std::vector<Eigen::Index>& points_of(int id) const {
    return points_[static_cast<std::size_t>(id)];
  }

  [[nodiscard]] Box box_of_cells(const std::vector<int>& cells) const {
    Box out = empty_box();
    for (const int c : cells)
      for (const int v : e_.cells.cells.col(c))
        include(out, {e_.cells.vertices_mm.col(v), e_.cells.vertices_mm.col(v)});
    return out;
  }

  /// Of the design's surface and of what was scanned in its place.
  [[nodiscard]] Box box_of(const Region& region) const {
    Box out = box_of_cells(cells_of(region.id));
    include_points(out, points_of(region.id));
    return out;
  }

  void include_points(Box& box, const std::vector<Eigen::Index>& points) const {
    constexpr double kBeyondBox = 0.01;  // share of the points at either end that may be strays
    if (points.empty()) return;
    for (int k = 0; k < 3; ++k) {
      std::vector<double> along;
      for (const Eigen::Index i : points)
        along.push_back(e_.points_mm(k, i));
      std::sort(along.begin(), along.end());
      const auto cut = static_cast<std::size_t>(kBeyondBox * static_cast<double>(along.size()));
      box.low_mm[k] = std::min(box.low_mm[k], along[cut]);
      box.high_mm[k] = std::max(box.high_mm[k], along[along.size() - 1 - cut]);
    }
  }

 private:
  const MissingEvidence& e_;
  std::vector<std::vector<int>> cells_;            ///< of each id
  std::vector<std::vector<Eigen::Index>> points_;  ///< of each id
};

/// Every point has its normal and its reading.
inline bool has_points(const MissingEvidence& evidence) {
  const Eigen::Index points = evidence.readings.cell_of_point.size();
  return evidence.normals.cols() == points && evidence.points_mm.cols() == points;
}

}  // namespace trammel
