#include "trammel/geometry/thin_points.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/chosen_by_place.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr Index kAsked = 100'000;      // points that the area is taken from
constexpr double kCellsAlong = 100.0;  // of the coarse grid
/// A plane runs through |nx| + |ny| + |nz| cells for each that its area would fill: this is the
/// mean over all directions.
constexpr double kCellsPerArea = 1.5;
constexpr double kFewestInCell = 2.5;

/// Of the box that holds all but a hundredth at either end of each axis: strays lie far out.
double usual_extent_mm(const Eigen::Matrix3Xd& points) {
  double widest = 0.0;
  for (int k = 0; k < 3; ++k) {
    const Eigen::VectorXd row = points.row(k);
    const std::vector<double> values(row.begin(), row.end());
    widest = std::max(widest, quantile(values, 0.99) - quantile(values, 0.01));
  }
  return widest;
}

}  // namespace

double rough_area_mm2(const Eigen::Matrix3Xd& points_mm) {
  const Eigen::Matrix3Xd asked = points_mm(Eigen::all, chosen_by_place(points_mm, kAsked));
  if (asked.cols() == 0) return 0.0;
  const double cell_mm = usual_extent_mm(asked) / kCellsAlong;
  if (!(cell_mm > 0.0)) return 0.0;
  const auto cells = static_cast<double>(curve_order(asked, cell_mm).cell_start.size());
  return cells * cell_mm * cell_mm / kCellsPerArea;
}

double thinning_cell_mm(const Eigen::Matrix3Xd& points_mm, const Thinning& thinning) {
  const auto count = static_cast<double>(points_mm.cols());
  const auto least = static_cast<double>(thinning.fewest);
  if (!(thinning.coarsest_mm > 0.0) || count < kFewestInCell * least) return 0.0;
  const double cell_area_mm2 = kCellsPerArea * rough_area_mm2(points_mm);
  if (!(cell_area_mm2 > 0.0)) return 0.0;
  const double cell_mm = std::min(thinning.coarsest_mm, std::sqrt(cell_area_mm2 / least));
  const double cells = cell_area_mm2 / (cell_mm * cell_mm);
  return count >= kFewestInCell * cells ? cell_mm : 0.0;
}

std::vector<int> representatives(const Eigen::Matrix3Xd& points_mm, const CurveOrder& cells) {
  std::vector<int> out(cells.cell_start.size());
  for_each_index(out.size(), [&](std::size_t c) {
    Vector3d sum = Vector3d::Zero();
    for (std::size_t i = cells.cell_start[c]; i < cells.end_of(c); ++i)
      sum += points_mm.col(cells.order[i]);
    const Vector3d mean = sum / static_cast<double>(cells.end_of(c) - cells.cell_start[c]);
    double least = HUGE_VAL;
    for (std::size_t i = cells.cell_start[c]; i < cells.end_of(c); ++i) {
      const double apart2 = (points_mm.col(cells.order[i]) - mean).squaredNorm();
      if (apart2 >= least) continue;
      least = apart2;
      out[c] = static_cast<int>(cells.order[i]);
    }
  });
  return out;
}

}  // namespace trammel
