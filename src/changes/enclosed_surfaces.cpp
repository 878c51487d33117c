#include "trammel/changes/enclosed_surfaces.hpp"

#include <algorithm>

#include "trammel/base/parallel.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/filled_cells.hpp"
#include "trammel/changes/view_directions.hpp"

namespace trammel {
namespace {

constexpr double kCellOfCores = 1.5;   // of the cores' distance: a surface leaves few cells empty
constexpr double kStartOfCores = 3.0;  // nearer is the surface itself
constexpr double kLeastClosed = 0.9;   // of the directions
constexpr double kFromBehind = 0.2;    // cosine of the first surface's normal to the way there

class Enclosure {
 public:
  Enclosure(const ShownCores& bare, const ShownCores& full, double core_mm)
      : bare_(bare),
        full_(full),
        start_mm_(kStartOfCores * core_mm),
        step_mm_(0.7 * kCellOfCores * core_mm),
        bare_cells_(bare.cores.points_mm, kCellOfCores * core_mm),
        full_cells_(full.cores.points_mm, kCellOfCores * core_mm) {}

  [[nodiscard]] bool holds(Eigen::Index at) const {
    if (bare_.is_only[static_cast<std::size_t>(at)] == 0) return false;
    return are_closed_about(
        bare_.cores.normals.col(at), kLeastClosed,
        [&](const Eigen::Vector3d& way) { return is_closed(bare_.cores.points_mm.col(at), way); });
  }

 private:
  [[nodiscard]] bool is_closed(const Eigen::Vector3d& from, const Eigen::Vector3d& way) const {
    for (double far = start_mm_; far <= kStandOff_mm; far += step_mm_) {
      const Eigen::Vector3d at = from + far * way;
      if (const auto* met = full_cells_.in_cell_of(at)) return is_lone_from_behind(*met, way);
      if (bare_cells_.holds(at)) return false;
    }
    return false;
  }

  [[nodiscard]] bool is_lone_from_behind(const std::vector<Eigen::Index>& met,
                                         const Eigen::Vector3d& way) const {
    return std::all_of(met.begin(), met.end(), [&](Eigen::Index i) {
      return full_.is_only[static_cast<std::size_t>(i)] != 0 &&
             full_.cores.normals.col(i).dot(way) > kFromBehind;
    });
  }

  const ShownCores& bare_;
  const ShownCores& full_;
  double start_mm_, step_mm_;
  FilledCells bare_cells_, full_cells_;
};

OpenPlace place_of(const CorePoints& cores, const CoreGroup& group) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Eigen::Index at : group)
    middle += cores.points_mm.col(at) / static_cast<double>(group.size());
  return {true, area_of(cores, group), middle, cores.normals.col(group.front())};
}

}  // namespace

std::vector<OpenPlace> enclosed_surfaces_among(const ShownCores& bare, const ShownCores& full,
                                               const ChangeScales& scales, double least_area_mm2) {
  const auto none = [](const ShownCores& shown) {
    return std::find(shown.is_only.begin(), shown.is_only.end(), 1) == shown.is_only.end();
  };
  if (none(bare) || none(full)) return {};
  const Enclosure enclosure(bare, full, scales.core_mm);
  std::vector<std::uint8_t> is_enclosed(bare.is_only.size(), 0);
  for_each_index(
      is_enclosed.size(),
      [&](std::size_t i) {
        is_enclosed[i] = enclosure.holds(static_cast<Eigen::Index>(i)) ? 1 : 0;
      },
      16);
  std::vector<OpenPlace> out;
  for (const CoreGroup& group : groups_of_cores(
           bare.cores, PointIndex(bare.cores.points_mm), scales.core_mm,
           [&](Eigen::Index at) { return is_enclosed[static_cast<std::size_t>(at)] != 0; }))
    if (area_of(bare.cores, group) >= least_area_mm2) out.push_back(place_of(bare.cores, group));
  return out;
}

}  // namespace trammel
