#include "trammel/judge/points_beyond.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/judge/cell_patches.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr int kFewestBeyond = 8;  // fewer may be strays that fell together

std::vector<Index> beyond(const Plan& plan, const SurfaceCells& cells, const CellReadings& readings,
                          const Deviations& deviations, double by_mm, double sign) {
  std::vector<Index> out;
  for (Index i = 0; i < deviations.signed_mm.size(); ++i) {
    const double off = sign * deviations.signed_mm[i];
    const int cell = readings.cell_of_point[i];
    if (cell < 0 || !(off > by_mm)) continue;
    const Band band = band_at(plan, cells.center_mm.col(cell)).band;
    if (off > (sign > 0.0 ? band.over_mm : band.under_mm) + by_mm) out.push_back(i);
  }
  return out;
}

}  // namespace

std::vector<PointPatch> points_beyond(const Plan& plan, const SurfaceCells& cells,
                                      const CellReadings& readings, const Deviations& deviations,
                                      const Eigen::Matrix3Xd& points_mm,
                                      const UncertaintyBudget& uncertainty, double spacing_mm) {
  const double by_mm = std::max(uncertainty.expanded_mm, 4.0 * uncertainty.noise_mm);
  const double apart_mm = std::max(std::sqrt(plan.least_area_mm2), 2.5 * spacing_mm);
  const double point_mm2 = area_of_a_point(cells, readings);
  const double needed = std::max<double>(kFewestBeyond, plan.least_area_mm2 / point_mm2);
  std::vector<PointPatch> out;
  for (const double sign : {1.0, -1.0}) {
    const std::vector<Index> chosen = beyond(plan, cells, readings, deviations, by_mm, sign);
    const auto patches =
        point_patches(points_mm, chosen, apart_mm, static_cast<int>(std::ceil(needed)));
    out.insert(out.end(), patches.begin(), patches.end());
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const PointPatch& a, const PointPatch& b) { return a.points > b.points; });
  return out;
}

std::vector<std::string> why_beyond(const std::vector<PointPatch>& patches) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(2, patches.size()); ++i)
    out.push_back(std::to_string(patches[i].points) + " scan points about " +
                  place_words(patches[i].center_mm) +
                  " lie beyond the limit by more than U, though no patch does: look there for a "
                  "burr, a splash or a nick");
  return out;
}

}  // namespace trammel
