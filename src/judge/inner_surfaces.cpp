#include "trammel/judge/inner_surfaces.hpp"

#include <algorithm>
#include <cstdint>

#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr int kFewest = 5;

bool spoken_for(int cell, const Eigen::VectorXi& region_of_cell,
                const std::vector<Region>& regions) {
  if (cell < 0 || region_of_cell[cell] == 0) return false;
  const auto id = static_cast<std::size_t>(region_of_cell[cell]);
  return regions[id - 1].outcome != Outcome::Listed;
}

/// All points that can be reached from the first, which are taken out of `open`.
InnerSurface patch_from(std::size_t first, const Eigen::Matrix3Xd& places_mm,
                        const PointIndex& index, double apart_mm, std::vector<std::uint8_t>& open) {
  InnerSurface patch;
  std::vector<std::size_t> members(1, first);
  open[first] = 0;
  for (std::size_t next = 0; next < members.size(); ++next) {
    const Eigen::Vector3d place = places_mm.col(static_cast<Index>(members[next]));
    patch.center_mm += place;
    for (const Neighbour& other : index.within(place, apart_mm)) {
      const auto i = static_cast<std::size_t>(other.index);
      if (open[i] == 0) continue;
      open[i] = 0;
      members.push_back(i);
    }
  }
  patch.points = static_cast<int>(members.size());
  patch.center_mm /= patch.points;
  return patch;
}

}  // namespace

std::vector<InnerSurface> inner_surfaces(const Eigen::Matrix3Xd& points_mm,
                                         const Deviations& deviations, const CellReadings& readings,
                                         const Eigen::VectorXi& region_of_cell,
                                         const std::vector<Region>& regions, double apart_mm) {
  std::vector<Index> inside;
  for (Index i = 0; i < points_mm.cols(); ++i) {
    if (deviations.reading[static_cast<std::size_t>(i)] == Reading::Inside &&
        !spoken_for(readings.cell_of_point[i], region_of_cell, regions)) {
      inside.push_back(i);
    }
  }
  if (inside.empty()) return {};
  Eigen::Matrix3Xd places_mm(3, static_cast<Index>(inside.size()));
  for (std::size_t k = 0; k < inside.size(); ++k)
    places_mm.col(static_cast<Index>(k)) = points_mm.col(inside[k]);
  const PointIndex index(places_mm);
  std::vector<std::uint8_t> open(inside.size(), 1);
  std::vector<InnerSurface> out;
  for (std::size_t k = 0; k < inside.size(); ++k) {
    if (open[k] == 0) continue;
    const InnerSurface patch = patch_from(k, places_mm, index, apart_mm, open);
    if (patch.points >= kFewest) out.push_back(patch);
  }
  std::stable_sort(out.begin(), out.end(), [](const InnerSurface& a, const InnerSurface& b) {
    return a.points > b.points;
  });
  return out;
}

}  // namespace trammel
