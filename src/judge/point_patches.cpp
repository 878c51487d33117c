#include "trammel/judge/point_patches.hpp"

#include <algorithm>
#include <cstdint>
#include <utility>

#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// All points that can be reached from the first, which are taken out of `open`.
PointPatch patch_from(std::size_t first, const Eigen::Matrix3Xd& places_mm, const PointIndex& index,
                      double apart_mm, std::vector<std::uint8_t>& open) {
  PointPatch patch;
  std::vector<Index>& members = patch.members;
  members.push_back(static_cast<Index>(first));
  open[first] = 0;
  for (std::size_t next = 0; next < members.size(); ++next) {
    const Eigen::Vector3d place = places_mm.col(members[next]);
    patch.center_mm += place;
    for (const Neighbour& other : index.within(place, apart_mm)) {
      const auto i = static_cast<std::size_t>(other.index);
      if (open[i] == 0) continue;
      open[i] = 0;
      members.push_back(static_cast<Index>(i));
    }
  }
  patch.points = static_cast<int>(members.size());
  patch.center_mm /= patch.points;
  return patch;
}

}  // namespace

std::vector<PointPatch> point_patches(const Eigen::Matrix3Xd& points_mm,
                                      const std::vector<Index>& chosen, double apart_mm,
                                      int fewest) {
  if (chosen.empty()) return {};
  Eigen::Matrix3Xd places_mm(3, static_cast<Index>(chosen.size()));
  for (std::size_t k = 0; k < chosen.size(); ++k)
    places_mm.col(static_cast<Index>(k)) = points_mm.col(chosen[k]);
  const PointIndex index(places_mm);
  std::vector<std::uint8_t> open(chosen.size(), 1);
  std::vector<PointPatch> out;
  for (std::size_t k = 0; k < chosen.size(); ++k) {
    if (open[k] == 0) continue;
    PointPatch patch = patch_from(k, places_mm, index, apart_mm, open);
    if (patch.points < fewest) continue;
    for (Index& member : patch.members)
      member = chosen[static_cast<std::size_t>(member)];
    out.push_back(std::move(patch));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const PointPatch& a, const PointPatch& b) { return a.points > b.points; });
  return out;
}

}  // namespace trammel
