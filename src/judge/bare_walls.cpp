#include "trammel/judge/bare_walls.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/cell_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Higher above a face than its own points lie.
constexpr double kAbove_mm = 0.25;
/// So many points of something else above a face, so many radii off at most, hide it.
constexpr int kHiding = 3;
constexpr double kHidingReach = 3.0;
/// Of the radius: the disc that must be empty where the wall of a hole was seen around it, and how
/// far that wall lies off at most.
constexpr double kByItsWall = 0.57, kWallReach = 1.25;
constexpr int kOfWall = 3;

/// Nothing of the design stands before the face: balls of half their height above it are empty, up
/// to the reach.
bool in_plain_view(const SurfaceIndex& design, const Vector3d& place, const Vector3d& up,
                   double reach_mm) {
  for (double height_mm = 2.0 * kAbove_mm; height_mm <= reach_mm; height_mm *= 2.0)
    if (design.nearest(place + height_mm * up, 0.499 * height_mm).found()) return false;
  return true;
}

bool is_of_part(Reading reading) {
  return reading == Reading::Measured || reading == Reading::Inside || reading == Reading::Stray;
}

/// Walls unseen in plain view from both faces, and what was scanned near them.
class Candidates {
 public:
  Candidates(const SurfaceIndex& design, const SurfaceCells& cells,
             const std::vector<WallCells>& unseen, double reach_mm) {
    std::vector<std::uint8_t> plain(unseen.size(), 0);
    for_each_index(
        unseen.size(),
        [&](std::size_t i) {
          const auto seen_from_afar = [&](int c) {
            return in_plain_view(design, cells.center_mm.col(c), cells.normal.col(c), reach_mm);
          };
          plain[i] = seen_from_afar(unseen[i].front) && seen_from_afar(unseen[i].back) ? 1 : 0;
        },
        64);
    std::vector<std::uint8_t> wanted(static_cast<std::size_t>(cells.size()), 0);
    for (std::size_t i = 0; i < unseen.size(); ++i) {
      if (plain[i] == 0) continue;
      walls.push_back(unseen[i]);
      wanted[static_cast<std::size_t>(unseen[i].front)] = 1;
      wanted[static_cast<std::size_t>(unseen[i].back)] = 1;
    }
    for (std::size_t i = 0; i < wanted.size(); ++i)
      if (wanted[i] != 0) cell.push_back(static_cast<int>(i));
    place_mm.resize(3, static_cast<Index>(cell.size()));
    up.resize(3, place_mm.cols());
    for (std::size_t k = 0; k < cell.size(); ++k) {
      place_mm.col(static_cast<Index>(k)) = cells.center_mm.col(cell[k]);
      up.col(static_cast<Index>(k)) = cells.normal.col(cell[k]);
    }
    near_part = std::vector<std::atomic<int>>(cell.size());
    nearer_part = std::vector<std::atomic<int>>(cell.size());
    of_wall = std::vector<std::atomic<int>>(cell.size());
    hiding = std::vector<std::atomic<int>>(cell.size());
  }

  void count(const Deviations& deviations, const Eigen::Matrix3Xd& points_mm,
             const std::vector<std::uint8_t>& inside, double radius_mm) {
    const PointIndex index(place_mm);
    const auto add = [](std::atomic<int>& to) { to.fetch_add(1, std::memory_order_relaxed); };
    for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
      const Vector3d p = points_mm.col(static_cast<Index>(i));
      const bool of_part = is_of_part(deviations.reading[i]);
      const bool in_material = !inside.empty() && inside[i] != 0;
      const double reach = of_part ? (in_material ? kWallReach : 1.0) : kHidingReach;
      for (const Neighbour& at : index.within(p, reach * radius_mm)) {
        const auto k = static_cast<std::size_t>(at.index);
        if (of_part) {
          if (in_material) add(of_wall[k]);
          if (at.distance_mm <= radius_mm) add(near_part[k]);
          if (at.distance_mm <= kByItsWall * radius_mm) add(nearer_part[k]);
        } else if (up.col(at.index).dot(p - place_mm.col(at.index)) > kAbove_mm) {
          add(hiding[k]);
        }
      }
    });
  }

  std::vector<WallCells> walls;
  std::vector<int> cell;  ///< all of them
  Eigen::Matrix3Xd place_mm, up;
  std::vector<std::atomic<int>> near_part, nearer_part, of_wall, hiding;
};

}  // namespace

double bare_radius_mm(double least_area_mm2, double spacing_mm) {
  return std::max(std::sqrt(least_area_mm2 / kPi), 4.0 * spacing_mm);
}

std::vector<Vector3d> bare_walls(const SurfaceIndex& design, const SurfaceCells& cells,
                                 const std::vector<WallCells>& unseen, const Deviations& deviations,
                                 const Eigen::Matrix3Xd& points_mm,
                                 const std::vector<std::uint8_t>& inside, double radius_mm) {
  Candidates candidates(design, cells, unseen, deviations.reach_mm);
  if (candidates.cell.empty()) return {};
  candidates.count(deviations, points_mm, inside, radius_mm);
  std::vector<std::uint8_t> empty(static_cast<std::size_t>(cells.size()), 0), hidden = empty,
                                                                              holed = empty;
  for (std::size_t k = 0; k < candidates.cell.size(); ++k) {
    const auto c = static_cast<std::size_t>(candidates.cell[k]);
    empty[c] = candidates.near_part[k] == 0 ? 1 : 0;
    holed[c] = candidates.nearer_part[k] == 0 && candidates.of_wall[k] >= kOfWall ? 1 : 0;
    hidden[c] = candidates.hiding[k] >= kHiding ? 1 : 0;
  }
  std::vector<std::uint8_t> bare(empty.size(), 0), hidden_either = hidden;
  for (const WallCells& wall : candidates.walls) {
    const auto front = static_cast<std::size_t>(wall.front),
               back = static_cast<std::size_t>(wall.back);
    const bool is_empty = empty[front] != 0 && empty[back] != 0;
    const bool is_holed = holed[front] != 0 && holed[back] != 0;
    bare[front] = is_empty || is_holed ? 1 : 0;
    if (hidden[back] != 0) hidden_either[front] = 1;
  }
  std::vector<Vector3d> out;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(bare))) {
    const bool is_hidden = std::any_of(patch.begin(), patch.end(), [&](int cell) {
      return hidden_either[static_cast<std::size_t>(cell)] != 0;
    });
    if (!is_hidden) out.emplace_back(cells.center_mm.col(patch[patch.size() / 2]));
  }
  return out;
}

}  // namespace trammel
