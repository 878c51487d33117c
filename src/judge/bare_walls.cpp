#include "trammel/judge/bare_walls.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/poisson.hpp"
#include "trammel/geometry/point_grid.hpp"
#include "trammel/judge/bare_places.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/judge/strays.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Higher above a face than its own points lie.
constexpr double kAbove_mm = 0.25;
/// So many points of something else above a face, so many radii off at most, hide it.
constexpr int kHiding = 3;
constexpr double kHidingReach = 3.0;
/// Of the near radius: the disc that must be empty where the wall of a hole was seen around it, and
/// how far that wall lies off at most.
constexpr double kByItsWall = 0.57, kWallReach = 1.25;
/// So many points of the wall, and so many missed in the disc by the density about it.
constexpr int kOfWall = 3;
constexpr double kMissedByIt = 8.0;
/// Points are counted to so many radii off. A disc that says something by the density about it is
/// at least so much of the least radius: its middle is that of a quarter of a cell.
constexpr double kAboutReach = 2.0, kOffCentre = 0.8;
/// So many empty discs in a scan of a good part are too few to matter.
constexpr double kByChanceBare = 0.01;

/// Each is asked with what the one before found.
constexpr std::size_t kPlacesInTurn = 256;
/// A face that looks the other way surely, whatever rounding: more than `opposite_face` asks.
constexpr double kSurelyOther = 0.81;

/// Two places through the material from each other.
struct WallPlaces {
  int front, back;  ///< cells
  Vector3d front_mm, back_mm;
  bool seen;  ///< either of the cells
};

bool is_of_part(Reading reading) {
  return reading == Reading::Measured || reading == Reading::Inside || reading == Reading::Stray;
}

/// A grid of the points of the part, or of all others.
PointGrid grid_of(const Eigen::Matrix3Xd& points_mm, const Deviations& deviations, bool of_part,
                  double radius_mm) {
  const auto is_chosen = [&](std::size_t i) {
    return is_of_part(deviations.reading[i]) == of_part;
  };
  return {points_mm, indices_where(static_cast<std::size_t>(points_mm.cols()), is_chosen),
          radius_mm};
}

/// No other face lies farther off than that of the place before, where it still looks the other
/// way; places of one cell and its neighbours follow each other.
double as_near_as_last_mm(const SurfaceIndex& design, const SurfacePoint& last,
                          const Vector3d& at_mm, const Vector3d& normal) {
  if (!last.found() || design.face_normal(last.triangle).dot(normal) > -kSurelyOther)
    return kThickestWall_mm;
  return std::min(kThickestWall_mm, no_farther_than_mm(last, at_mm));
}

/// Those through the material from bare places that are bare, too.
std::vector<WallPlaces> bare_on_both_faces(const SurfaceIndex& design, const CellTree& tree,
                                           const CellReadings& readings, const PointGrid& points) {
  const std::vector<BarePlace> places = bare_places(tree.cells(), points);
  std::vector<WallPlaces> all(places.size());
  for_each_chunk(places.size(), kPlacesInTurn, [&](std::size_t begin, std::size_t end) {
    SurfacePoint other;
    for (std::size_t i = begin; i < end; ++i) {
      const auto [cell, at_mm] = places[i];
      const Vector3d normal = tree.cells().normal.col(cell);
      all[i] = {cell, -1, at_mm, Vector3d::Zero(), true};
      other =
          opposite_face(design, at_mm, normal, as_near_as_last_mm(design, other, at_mm, normal));
      if (!other.found() || points.any_near(other.foot_mm)) continue;
      all[i].back = tree.cell_at(design.mesh(), other.triangle, other.foot_mm);
      all[i].back_mm = other.foot_mm;
      all[i].seen = readings.seen[static_cast<std::size_t>(cell)] != 0 ||
                    readings.seen[static_cast<std::size_t>(all[i].back)] != 0;
    }
  });
  all.erase(std::remove_if(all.begin(), all.end(), [](const WallPlaces& w) { return w.back < 0; }),
            all.end());
  return all;
}

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

/// One face lies in plain view, along its normal, and the other so or aslant.
bool is_in_view(const SurfaceIndex& design, const SurfaceCells& cells, const WallPlaces& wall,
                double reach_mm) {
  const Vector3d up = cells.normal.col(wall.front), down = cells.normal.col(wall.back);
  const bool front = is_free(design, wall.front_mm, up, reach_mm),
             back = is_free(design, wall.back_mm, down, reach_mm);
  return (front || back) && (front || is_free_aslant(design, wall.front_mm, up, reach_mm)) &&
         (back || is_free_aslant(design, wall.back_mm, down, reach_mm));
}

/// What was scanned about a place.
struct Surroundings {
  double nearest_mm;  ///< to a point of the part; as far as points are counted at most
  int of_wall = 0, about = 0, hiding = 0;
};

/// What was scanned about places of walls.
class Around {
 public:
  Around(const SurfaceCells& cells, const std::vector<WallPlaces>& walls,
         const Deviations& deviations, const Eigen::Matrix3Xd& points_mm,
         const std::vector<std::uint8_t>& inside, double radius_mm)
      : about_mm_(kAboutReach * radius_mm), at_(2 * walls.size(), Surroundings{about_mm_}) {
    const PointGrid of_part = grid_of(points_mm, deviations, true, about_mm_),
                    others = grid_of(points_mm, deviations, false, kHidingReach * radius_mm);
    const auto look_about = [&](const Vector3d& place_mm, const Vector3d& up, Surroundings& at) {
      of_part.for_each_near(place_mm, [&](Index point, const Vector3d& off_mm) {
        const double distance_mm = off_mm.norm();
        at.nearest_mm = std::min(at.nearest_mm, distance_mm);
        if (!inside.empty() && inside[static_cast<std::size_t>(point)] != 0 &&
            distance_mm <= kWallReach * radius_mm)
          ++at.of_wall;
        if (std::abs(up.dot(off_mm)) <= kAbove_mm) ++at.about;
      });
      others.for_each_near(place_mm, [&](Index, const Vector3d& off_mm) {
        if (up.dot(off_mm) > kAbove_mm) ++at.hiding;
      });
    };
    for_each_index(
        walls.size(),
        [&](std::size_t i) {
          const WallPlaces& wall = walls[i];
          look_about(wall.front_mm, cells.normal.col(wall.front), at_[2 * i]);
          look_about(wall.back_mm, cells.normal.col(wall.back), at_[2 * i + 1]);
        },
        64);
  }

  /// Radius of the disc that is empty about both places of a wall.
  [[nodiscard]] double empty_mm(std::size_t wall) const {
    return std::min(at_[2 * wall].nearest_mm, at_[2 * wall + 1].nearest_mm);
  }

  [[nodiscard]] int most_of_wall(std::size_t wall) const {
    return std::max(at_[2 * wall].of_wall, at_[2 * wall + 1].of_wall);
  }

  [[nodiscard]] bool is_hidden(std::size_t wall) const {
    return at_[2 * wall].hiding >= kHiding || at_[2 * wall + 1].hiding >= kHiding;
  }

  /// −log of the chance that all points about both places, thrown at random, leave the discs of
  /// `empty_mm` free.
  [[nodiscard]] double rarity(std::size_t wall) const {
    const double part = empty_mm(wall) / about_mm_, ring = 1.0 - part * part;
    if (ring <= 0.0) return 0.0;
    return -std::log(ring) * static_cast<double>(at_[2 * wall].about + at_[2 * wall + 1].about);
  }

 private:
  double about_mm_;               ///< how far off points are counted
  std::vector<Surroundings> at_;  ///< front and back of each wall in turn
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

/// What tells an empty disc from a gap by chance.
struct Rule {
  BareDisc disc;
  double rare;               ///< as `rare_enough` has it
  double strays_about_wall;  ///< on average, where the points of a hole's wall are counted
};

/// Whether there may be a hole through a wall.
bool is_bare(const Around& around, std::size_t wall, bool seen, const Rule& rule) {
  const double empty_mm = around.empty_mm(wall);
  if (!seen && empty_mm > rule.disc.sure_mm) return true;
  const double rarity = around.rarity(wall);
  const int of_wall = around.most_of_wall(wall);
  if (of_wall >= kOfWall && empty_mm > kByItsWall * rule.disc.near_mm &&
      (!seen || (rarity >= kMissedByIt &&
                 rarity - log_as_many(of_wall, rule.strays_about_wall) >= rule.rare)))
    return true;
  return empty_mm > kOffCentre * rule.disc.least_mm && rarity >= rule.rare;
}

/// Walls where there may be a hole: of each front cell the one with the largest empty disc.
/// @param walls  those of one front cell in a row
std::vector<std::size_t> emptiest_of_cells(const std::vector<WallPlaces>& walls,
                                           const Around& around, const Rule& rule) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < walls.size(); ++i) {
    if (!is_bare(around, i, walls[i].seen, rule)) continue;
    if (out.empty() || walls[out.back()].front != walls[i].front)
      out.push_back(i);
    else if (around.empty_mm(i) > around.empty_mm(out.back()))
      out.back() = i;
  }
  return out;
}

}  // namespace

BareDisc bare_disc(double least_area_mm2, double spacing_mm) {
  const double least_mm = std::sqrt(least_area_mm2 / kPi);
  return {least_mm, std::max(least_mm, 4.0 * spacing_mm), std::max(least_mm, 5.0 * spacing_mm)};
}

std::vector<Vector3d> bare_walls(const SurfaceIndex& design, const CellTree& tree,
                                 const CellReadings& readings, const Deviations& deviations,
                                 const Eigen::Matrix3Xd& points_mm, const InMaterial& material,
                                 const BareDisc& disc) {
  const SurfaceCells& cells = tree.cells();
  const double least_mm = std::min(kOffCentre * disc.least_mm, kByItsWall * disc.near_mm);
  const PointGrid of_part = grid_of(points_mm, deviations, true, least_mm);
  const std::vector<WallPlaces> walls = bare_on_both_faces(design, tree, readings, of_part);
  if (walls.empty()) return {};
  const Around around(cells, walls, deviations, points_mm, material.inside, disc.near_mm);
  const Rule rule{disc, rare_enough(points_mm.cols()),
                  strays_about(material.strays_per_mm3, kWallReach * disc.near_mm)};
  std::vector<std::uint8_t> bare(static_cast<std::size_t>(cells.size()), 0), hidden(bare);
  const std::vector<std::size_t> asked = emptiest_of_cells(walls, around, rule);
  const auto tell = [&](std::size_t k) {
    const WallPlaces& wall = walls[asked[k]];
    if (is_in_view(design, cells, wall, deviations.reach_mm))
      bare[static_cast<std::size_t>(wall.front)] = 1;
  };
  for_each_index(asked.size(), tell, 16);
  for (std::size_t i = 0; i < walls.size(); ++i)
    if (around.is_hidden(i)) hidden[static_cast<std::size_t>(walls[i].front)] = 1;
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
