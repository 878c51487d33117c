#include "trammel/judge/bare_walls.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
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
/// Points are counted to so many radii off. A disc that says something by the density about it is
/// at least so much of the least radius: its middle is a cell's.
constexpr double kAboutReach = 2.0, kOffCentre = 0.8;
/// So many empty discs in a scan of a good part are too few to matter.
constexpr double kByChanceBare = 0.01;

/// Nothing of the design stands in a cone about the line of sight: balls of half their distance
/// from the place are empty, up to the reach.
bool is_free(const SurfaceIndex& design, const Vector3d& place, const Vector3d& towards,
             double reach_mm) {
  for (double far_mm = 2.0 * kAbove_mm; far_mm <= reach_mm; far_mm *= 2.0)
    if (design.nearest(place + far_mm * towards, 0.499 * far_mm).found()) return false;
  return true;
}

/// Lines of sight at 45° to the normal are free to one side, as beside a bend: three of eight.
/// Under the rim of a hole only one is.
bool is_free_aslant(const SurfaceIndex& design, const Vector3d& place, const Vector3d& up,
                    double reach_mm) {
  constexpr int kTurns = 8, kOneSide = 3;
  int free = 0;
  for (const Vector3d& aside : directions_across(up, kTurns))
    if (is_free(design, place, (up + aside) / std::sqrt(2.0), reach_mm)) ++free;
  return free >= kOneSide;
}

/// Walls of which one face lies in plain view, along its normal, and the other so or aslant.
std::vector<WallCells> walls_in_view(const SurfaceIndex& design, const SurfaceCells& cells,
                                     const std::vector<WallCells>& walls, double reach_mm) {
  std::vector<std::uint8_t> asked(static_cast<std::size_t>(cells.size()), 0);
  for (const WallCells& wall : walls)
    asked[static_cast<std::size_t>(wall.front)] = asked[static_cast<std::size_t>(wall.back)] = 1;
  std::vector<std::uint8_t> plain(asked.size(), 0), in_view(walls.size(), 0);
  for_each_index(asked.size(), [&](std::size_t c) {
    const auto at = static_cast<Index>(c);
    if (asked[c] != 0)
      plain[c] = is_free(design, cells.center_mm.col(at), cells.normal.col(at), reach_mm) ? 1 : 0;
  });
  const auto aslant = [&](int c) {
    return is_free_aslant(design, cells.center_mm.col(c), cells.normal.col(c), reach_mm);
  };
  for_each_index(walls.size(), [&](std::size_t i) {
    const bool front = plain[static_cast<std::size_t>(walls[i].front)] != 0,
               back = plain[static_cast<std::size_t>(walls[i].back)] != 0;
    if (front || back)
      in_view[i] = (front || aslant(walls[i].front)) && (back || aslant(walls[i].back)) ? 1 : 0;
  });
  std::vector<WallCells> out;
  for (std::size_t i = 0; i < walls.size(); ++i)
    if (in_view[i] != 0) out.push_back(walls[i]);
  return out;
}

bool is_of_part(Reading reading) {
  return reading == Reading::Measured || reading == Reading::Inside || reading == Reading::Stray;
}

/// Walls that a scanner can see from both sides, and what was scanned near them.
class Candidates {
 public:
  Candidates(const SurfaceCells& cells, std::vector<WallCells> in_view)
      : walls(std::move(in_view)) {
    std::vector<std::uint8_t> wanted(static_cast<std::size_t>(cells.size()), 0);
    for (const WallCells& wall : walls) {
      wanted[static_cast<std::size_t>(wall.front)] = 1;
      wanted[static_cast<std::size_t>(wall.back)] = 1;
    }
    for (std::size_t i = 0; i < wanted.size(); ++i)
      if (wanted[i] != 0) cell.push_back(static_cast<int>(i));
    place_mm.resize(3, static_cast<Index>(cell.size()));
    up.resize(3, place_mm.cols());
    for (std::size_t k = 0; k < cell.size(); ++k) {
      place_mm.col(static_cast<Index>(k)) = cells.center_mm.col(cell[k]);
      up.col(static_cast<Index>(k)) = cells.normal.col(cell[k]);
    }
    nearest_mm = std::vector<std::atomic<double>>(cell.size());
    of_wall = std::vector<std::atomic<int>>(cell.size());
    about = std::vector<std::atomic<int>>(cell.size());
    hiding = std::vector<std::atomic<int>>(cell.size());
  }

  void count(const Deviations& deviations, const Eigen::Matrix3Xd& points_mm,
             const std::vector<std::uint8_t>& inside, double radius_mm) {
    about_mm = kAboutReach * radius_mm;
    for (std::atomic<double>& nearest : nearest_mm)
      nearest = about_mm;
    const PointIndex index(place_mm);
    for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
      const Vector3d p = points_mm.col(static_cast<Index>(i));
      const bool of_part = is_of_part(deviations.reading[i]);
      const bool in_material = !inside.empty() && inside[i] != 0;
      for (const Neighbour& at : index.within(p, of_part ? about_mm : kHidingReach * radius_mm)) {
        const auto k = static_cast<std::size_t>(at.index);
        const double height_mm = up.col(at.index).dot(p - place_mm.col(at.index));
        if (!of_part) {
          if (height_mm > kAbove_mm) add(hiding[k]);
          continue;
        }
        lower(nearest_mm[k], at.distance_mm);
        if (in_material && at.distance_mm <= kWallReach * radius_mm) add(of_wall[k]);
        if (std::abs(height_mm) <= kAbove_mm) add(about[k]);
      }
    });
  }

  /// −log of the chance that all points about two places, thrown at random, leave the discs of
  /// `empty_mm` free.
  [[nodiscard]] double rarity(std::size_t front, std::size_t back, double empty_mm) const {
    const double ring = 1.0 - empty_mm * empty_mm / (about_mm * about_mm);
    if (ring <= 0.0) return 0.0;
    return -std::log(ring) * static_cast<double>(about[front] + about[back]);
  }

  std::vector<WallCells> walls;
  std::vector<int> cell;  ///< all of them
  Eigen::Matrix3Xd place_mm, up;
  double about_mm = 0.0;                        ///< how far off points are counted
  std::vector<std::atomic<double>> nearest_mm;  ///< to a point of the part; `about_mm` at most
  std::vector<std::atomic<int>> of_wall, about, hiding;

 private:
  static void add(std::atomic<int>& to) { to.fetch_add(1, std::memory_order_relaxed); }
  static void lower(std::atomic<double>& to, double value) {
    double old = to.load(std::memory_order_relaxed);
    while (value < old && !to.compare_exchange_weak(old, value, std::memory_order_relaxed)) {
    }
  }
};

/// Rarer discs than this are no chance in a scan of so many points. The largest empty circles of
/// points thrown at random are twice as many as the points, and a share of (1 + x)·e^−x of them is
/// so large that x points are missed (Miles 1970: of Poisson triangles, the circle's area is Gamma
/// distributed with shape 2).
double rare_enough(Index points) {
  double x = 1.0;
  for (int step = 0; step < 20; ++step)
    x = std::log(2.0 * static_cast<double>(points) * (1.0 + x) / kByChanceBare);
  return x;
}

/// Whether there may be a hole through a wall, by its two places.
bool is_bare(const Candidates& all, std::size_t front, std::size_t back, const BareDisc& disc,
             double rare) {
  const double empty_mm = std::min(all.nearest_mm[front].load(), all.nearest_mm[back].load());
  if (empty_mm > disc.sure_mm) return true;
  const int of_wall = std::max(all.of_wall[front].load(), all.of_wall[back].load());
  if (of_wall >= kOfWall && empty_mm > kByItsWall * disc.near_mm) return true;
  return empty_mm > kOffCentre * disc.least_mm && all.rarity(front, back, empty_mm) >= rare;
}

}  // namespace

BareDisc bare_disc(double least_area_mm2, double spacing_mm) {
  const double least_mm = std::sqrt(least_area_mm2 / kPi);
  return {least_mm, std::max(least_mm, 4.0 * spacing_mm), std::max(least_mm, 5.0 * spacing_mm)};
}

std::vector<Vector3d> bare_walls(const SurfaceIndex& design, const SurfaceCells& cells,
                                 const std::vector<WallCells>& unseen, const Deviations& deviations,
                                 const Eigen::Matrix3Xd& points_mm,
                                 const std::vector<std::uint8_t>& inside, const BareDisc& disc) {
  Candidates candidates(cells, walls_in_view(design, cells, unseen, deviations.reach_mm));
  if (candidates.cell.empty()) return {};
  candidates.count(deviations, points_mm, inside, disc.near_mm);
  const double rare = rare_enough(points_mm.cols());
  std::vector<std::size_t> place_of(static_cast<std::size_t>(cells.size()), 0);
  for (std::size_t k = 0; k < candidates.cell.size(); ++k)
    place_of[static_cast<std::size_t>(candidates.cell[k])] = k;
  std::vector<std::uint8_t> bare(place_of.size(), 0), hidden(place_of.size(), 0);
  for (const WallCells& wall : candidates.walls) {
    const auto c = static_cast<std::size_t>(wall.front);
    const std::size_t front = place_of[c], back = place_of[static_cast<std::size_t>(wall.back)];
    if (is_bare(candidates, front, back, disc, rare)) bare[c] = 1;
    if (candidates.hiding[front] >= kHiding || candidates.hiding[back] >= kHiding) hidden[c] = 1;
  }
  std::vector<Vector3d> out;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(bare))) {
    const bool is_hidden = std::any_of(patch.begin(), patch.end(), [&](int cell) {
      return hidden[static_cast<std::size_t>(cell)] != 0;
    });
    if (!is_hidden) out.emplace_back(cells.center_mm.col(patch[patch.size() / 2]));
  }
  return out;
}

}  // namespace trammel
