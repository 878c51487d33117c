#include "trammel/judge/turn_of_round.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr int kTurns = 24;
constexpr Index kMostCells = 20'000;
constexpr double kSameArea = 0.98;

/// Whether the zone holds the same of the design after each of the turns.
bool is_round(const Zone& zone, const SurfaceCells& cells, const RoundAxis& round) {
  const Index stride = std::max<Index>(1, cells.size() / kMostCells);
  for (int k = 1; k < kTurns; ++k) {
    const Eigen::AngleAxisd turn(k * 2.0 * kPi / kTurns, round.axis);
    double both = 0.0, either = 0.0;
    for (Index c = 0; c < cells.size(); c += stride) {
      const Eigen::Vector3d p = cells.center_mm.col(c);
      const bool before = zone.holds(p);
      const bool after = zone.holds(turn * (p - round.at_mm) + round.at_mm);
      if (before && after) both += cells.area_mm2[c];
      if (before || after) either += cells.area_mm2[c];
    }
    if (both < kSameArea * either) return false;
  }
  return true;
}

}  // namespace

std::vector<std::string> zones_on_one_side(const Plan& plan, const SurfaceCells& cells,
                                           const RoundAxis& round) {
  std::vector<std::string> names;
  for (const Zone& zone : plan.zones)
    if (!is_round(zone, cells, round)) names.push_back(zone.name);
  return names;
}

}  // namespace trammel
