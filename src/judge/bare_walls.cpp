#include "trammel/judge/bare_walls.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/coverage.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Higher above a face than its own points lie.
constexpr double kAbove_mm = 0.25;
/// So many points of something else above a face, so many radii off at most, hide it.
constexpr int kHiding = 3;
constexpr double kHidingReach = 3.0;

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
  Candidates(const SurfaceIndex& design, const CellTree& tree, const CellReadings& readings,
             double reach_mm, double thickest_mm) {
    const SurfaceCells& cells = tree.cells();
    std::vector<std::uint8_t> plain(static_cast<std::size_t>(cells.size()), 0);
    for_each_index(plain.size(), [&](std::size_t i) {
      const auto c = static_cast<Index>(i);
      plain[i] = readings.seen[i] == 0 && in_plain_view(design, cells.center_mm.col(c),
                                                        cells.normal.col(c), reach_mm)
                     ? 1
                     : 0;
    });
    std::vector<std::uint8_t> wanted(plain.size(), 0);
    for (std::size_t i = 0; i < plain.size(); ++i) {
      if (plain[i] == 0) continue;
      const int other = opposite_cell(design, tree, static_cast<int>(i), thickest_mm);
      if (other < 0 || plain[static_cast<std::size_t>(other)] == 0) continue;
      walls.emplace_back(static_cast<int>(i), other);
      wanted[i] = wanted[static_cast<std::size_t>(other)] = 1;
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
    hiding = std::vector<std::atomic<int>>(cell.size());
  }

  void count(const Deviations& deviations, const Eigen::Matrix3Xd& points_mm, double radius_mm) {
    const PointIndex index(place_mm);
    for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
      const Vector3d p = points_mm.col(static_cast<Index>(i));
      const bool of_part = is_of_part(deviations.reading[i]);
      for (const Neighbour& at : index.within(p, of_part ? radius_mm : kHidingReach * radius_mm)) {
        const auto k = static_cast<std::size_t>(at.index);
        if (of_part) {
          near_part[k].fetch_add(1, std::memory_order_relaxed);
        } else if (up.col(at.index).dot(p - place_mm.col(at.index)) > kAbove_mm) {
          hiding[k].fetch_add(1, std::memory_order_relaxed);
        }
      }
    });
  }

  std::vector<std::pair<int, int>> walls;  ///< a cell and the one on its wall's other face
  std::vector<int> cell;                   ///< all of them
  Eigen::Matrix3Xd place_mm, up;
  std::vector<std::atomic<int>> near_part, hiding;
};

/// One cell a connected patch of bare cells, unless something hides the patch.
std::vector<Vector3d> patches(const SurfaceCells& cells, std::vector<std::uint8_t>& bare,
                              const std::vector<std::uint8_t>& hidden) {
  std::vector<Vector3d> out;
  for (std::size_t seed = 0; seed < bare.size(); ++seed) {
    if (bare[seed] == 0) continue;
    bare[seed] = 0;
    std::vector<int> patch(1, static_cast<int>(seed));
    bool covered = false;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      covered = covered || hidden[static_cast<std::size_t>(patch[next])] != 0;
      for (int k = 0; k < 3; ++k) {
        const int other = cells.neighbours(k, patch[next]);
        if (other < 0 || bare[static_cast<std::size_t>(other)] == 0) continue;
        bare[static_cast<std::size_t>(other)] = 0;
        patch.push_back(other);
      }
    }
    if (!covered) out.emplace_back(cells.center_mm.col(patch[patch.size() / 2]));
  }
  return out;
}

}  // namespace

double bare_radius_mm(double least_area_mm2, double spacing_mm) {
  return std::max(std::sqrt(least_area_mm2 / kPi), 4.0 * spacing_mm);
}

std::vector<Vector3d> bare_walls(const SurfaceIndex& design, const CellTree& tree,
                                 const CellReadings& readings, const Deviations& deviations,
                                 const Eigen::Matrix3Xd& points_mm,
                                 const BareWallSettings& settings) {
  const SurfaceCells& cells = tree.cells();
  Candidates candidates(design, tree, readings, deviations.reach_mm, settings.thickest_mm);
  if (candidates.cell.empty()) return {};
  candidates.count(deviations, points_mm, settings.radius_mm);
  std::vector<std::uint8_t> empty(static_cast<std::size_t>(cells.size()), 0), hidden = empty;
  for (std::size_t k = 0; k < candidates.cell.size(); ++k) {
    const auto c = static_cast<std::size_t>(candidates.cell[k]);
    empty[c] = candidates.near_part[k] == 0 ? 1 : 0;
    hidden[c] = candidates.hiding[k] >= kHiding ? 1 : 0;
  }
  std::vector<std::uint8_t> bare(empty.size(), 0), hidden_either = hidden;
  for (const auto& [front, back] : candidates.walls) {
    const auto i = static_cast<std::size_t>(front), other = static_cast<std::size_t>(back);
    bare[i] = empty[i] != 0 && empty[other] != 0 ? 1 : 0;
    if (hidden[other] != 0) hidden_either[i] = 1;
  }
  return patches(cells, bare, hidden_either);
}

}  // namespace trammel
