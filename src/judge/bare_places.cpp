#include "trammel/judge/bare_places.hpp"

#include <algorithm>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kPlaces = 4;
/// Of the radius: none of a cell that is asked at its centre alone lies farther from it.
constexpr double kSmallCell = 0.5;

/// The centre of the middle quarter is the cell's; the others lie half way to its corners.
Vector3d place_of(const SurfaceCells& cells, Index cell, int k) {
  const Vector3d center = cells.center_mm.col(cell);
  return k == 0 ? center
                : Vector3d(0.5 * (center + cells.vertices_mm.col(cells.cells(k - 1, cell))));
}

bool is_small(const SurfaceCells& cells, Index cell, double radius_mm) {
  const Vector3d center = cells.center_mm.col(cell);
  const auto& corners = cells.cells.col(cell);
  return std::all_of(corners.begin(), corners.end(), [&](int corner) {
    return (cells.vertices_mm.col(corner) - center).norm() <= kSmallCell * radius_mm;
  });
}

}  // namespace

std::vector<BarePlace> bare_places(const SurfaceCells& cells, const PointGrid& points) {
  const auto add = [&](std::size_t i, std::vector<BarePlace>& to) {
    const auto cell = static_cast<Index>(i);
    const int places = is_small(cells, cell, points.radius_mm()) ? 1 : kPlaces;
    for (int k = 0; k < places; ++k) {
      const Vector3d at_mm = place_of(cells, cell, k);
      if (!points.any_near(at_mm)) to.push_back({static_cast<int>(cell), at_mm});
    }
  };
  return gathered<BarePlace>(static_cast<std::size_t>(cells.size()), add);
}

}  // namespace trammel
