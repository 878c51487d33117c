#include "trammel/geometry/find_slots.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "slot_patches.hpp"
#include "trammel/base/constants.hpp"
#include "wall_search.hpp"

namespace trammel {
namespace {

using wall_search::WallPiece;
using wall_search::WallSearch;
using wall_search::WallSeeds;

/// Degrees that these directions turn through: 360 less the widest gap between them.
double turn_deg(std::vector<double> directions_rad) {
  std::sort(directions_rad.begin(), directions_rad.end());
  directions_rad.push_back(directions_rad.front() + 2.0 * kPi);
  double widest = 0.0;
  for (std::size_t i = 1; i < directions_rad.size(); ++i)
    widest = std::max(widest, directions_rad[i] - directions_rad[i - 1]);
  return 360.0 - widest / kPi * 180.0;
}

}  // namespace

FoundSlots wall_search::slots_from(const WallSeeds& seeds, const FindSlotsSettings& settings) {
  FoundSlots out;
  WallSearch search(seeds);
  out.complete = search.go_through([&](const WallPiece& piece) {
    if (!(turn_deg(directions_rad(seeds.all, piece)) >= settings.least_turn_deg)) return false;
    search.spend(100 * static_cast<long long>(piece.patch.size()));
    auto slot = slot_patches::slot_of(seeds.all, piece.patch, settings);
    if (!slot) return false;
    for (const int f : slot->triangles)
      search.settle(f);
    out.slots.push_back(std::move(*slot));
    return true;
  });
  sort_by_first_triangle(out.slots);
  return out;
}

FoundSlots find_slots(const Mesh& design, const FindSlotsSettings& settings) {
  if (design.triangles.cols() == 0) return {};
  return wall_search::slots_from(WallSeeds(design), settings);
}

std::optional<std::size_t> nearest_slot(const std::vector<DesignSlot>& slots,
                                        const Eigen::Vector3d& at_mm, double beside_mm) {
  std::optional<std::size_t> nearest;
  double least = beside_mm;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const SlotShape& slot = slots[i].shape;
    const double level = slot.axis.dot(at_mm - slot.center_mm);
    const double beyond = std::max({0.0, slots[i].low_mm - level, level - slots[i].high_mm});
    const double distance = std::hypot(beyond, std::max(0.0, distance_to(slot, at_mm)));
    if (!(distance <= least)) continue;
    if (nearest && distance >= least) continue;
    least = distance;
    nearest = i;
  }
  return nearest;
}

}  // namespace trammel
