#include "trammel/align/scan_sample.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <tuple>
#include <utility>
#include <vector>

#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {
namespace {

using Indices = std::vector<Eigen::Index>;

/// A point and the number of points that it stands for.
struct Kept {
  Eigen::Index index;
  double stands_for;
};

Eigen::Matrix3Xd columns_of(const Eigen::Matrix3Xd& points, const Indices& at) {
  Eigen::Matrix3Xd result(3, static_cast<Eigen::Index>(at.size()));
  for (std::size_t i = 0; i < at.size(); ++i)
    result.col(static_cast<Eigen::Index>(i)) = points.col(at[i]);
  return result;
}

/// Every n-th point, so that no more than `most` are left.
Indices strided(Eigen::Index points, Eigen::Index most) {
  const Eigen::Index count = std::min(points, most);
  Indices result;
  result.reserve(static_cast<std::size_t>(count));
  for (Eigen::Index i = 0; i < count; ++i)
    result.push_back(i * points / count);
  return result;
}

Indices shuffled(Eigen::Index count, Rng& rng) {
  Indices order = strided(count, count);
  for (std::size_t i = order.size(); i > 1; --i)
    std::swap(order[i - 1], order[rng.index(i)]);
  return order;
}

/// Place of a point in the grid: its block of 4 × 4 × 4 cells, then the cell, then a random rank.
struct Place {
  std::uint64_t block, cell;
  std::size_t rank;
  [[nodiscard]] bool operator<(const Place& other) const {
    return std::tie(block, cell, rank) < std::tie(other.block, other.cell, other.rank);
  }
};

std::vector<Place> places_of(const Eigen::Matrix3Xd& points, const Indices& order, const Box& box,
                             double cell_mm) {
  std::vector<Place> places;
  places.reserve(order.size());
  for (std::size_t rank = 0; rank < order.size(); ++rank) {
    const Eigen::Vector3d at = (points.col(order[rank]) - box.low_mm) / cell_mm;
    const auto part = [&](int axis) { return static_cast<std::uint64_t>(at[axis]) & 0x1FFFFFU; };
    const auto key = [&](unsigned down) {
      return (part(0) >> down) << 42U | (part(1) >> down) << 21U | part(2) >> down;
    };
    places.push_back({key(2), key(0), rank});
  }
  std::sort(places.begin(), places.end());
  return places;
}

std::size_t count_cells(const std::vector<Place>& places) {
  std::size_t count = 0;
  for (std::size_t i = 0; i < places.size(); ++i)
    if (i == 0 || places[i].cell != places[i - 1].cell) ++count;
  return count;
}

/// From each block as many points as it has occupied cells, drawn at random from the block. (One
/// point from each cell would favour noise: a point that strays into an empty cell is sure to win.)
std::vector<Kept> drawn_from_blocks(const std::vector<Place>& places, const Indices& order) {
  std::vector<std::pair<std::size_t, double>> drawn;  // rank, points it stands for
  for (std::size_t first = 0, end = 0; first < places.size(); first = end) {
    std::vector<std::size_t> ranks;
    std::size_t cells = 0;
    for (end = first; end < places.size() && places[end].block == places[first].block; ++end) {
      if (end == first || places[end].cell != places[end - 1].cell) ++cells;
      ranks.push_back(places[end].rank);
    }
    std::sort(ranks.begin(), ranks.end());
    for (std::size_t i = 0; i < cells; ++i)
      drawn.emplace_back(ranks[i], static_cast<double>(ranks.size()) / static_cast<double>(cells));
  }
  std::sort(drawn.begin(), drawn.end());  // by rank: a random order of places
  std::vector<Kept> kept;
  for (const auto& [rank, stands_for] : drawn)
    kept.push_back({order[rank], stands_for});
  return kept;
}

/// Cells are sized by trial: on a surface their number goes with 1/edge².
std::vector<Kept> evenly_spread(const Eigen::Matrix3Xd& points, std::size_t count, Rng rng) {
  const Indices order = shuffled(points.cols(), rng);
  const Box box = bounding_box(points);
  if (order.size() <= count || !(box.diagonal_mm() > 0.0)) {
    std::vector<Kept> all;
    for (const Eigen::Index at : order)
      all.push_back({at, 1.0});
    return all;
  }
  const double least_cell_mm = box.diagonal_mm() / 1e6;
  double cell_mm = box.diagonal_mm() / std::sqrt(static_cast<double>(count));
  std::vector<Place> places;
  for (int trial = 0; trial < 4; ++trial) {
    places = places_of(points, order, box, cell_mm);
    const double ratio = static_cast<double>(count_cells(places)) / static_cast<double>(count);
    if (ratio > 0.9 && ratio < 1.2) break;
    cell_mm = std::max(least_cell_mm, cell_mm * std::clamp(std::sqrt(ratio), 0.1, 10.0));
  }
  return drawn_from_blocks(places, order);
}

/// Distance to the sixth neighbour: large where points are few.
double loneliness_mm(const Eigen::Matrix3Xd& points, const PointIndex& index, Eigen::Index at) {
  constexpr int kNeighbours = 6;
  return index.nearest(points.col(at), kNeighbours).back().distance_mm;
}

/// A face scanned twenty times as coarsely as another is no stray: its points lie in one plane with
/// their neighbours, and among them, not before them as a stray lies before a face.
bool is_on_coarse_face(const Eigen::Matrix3Xd& points, const PointIndex& index, Eigen::Index at) {
  constexpr int kNeighbours = 9;  // and itself
  constexpr double kFlat = 0.15, kAmong = 0.75;
  const auto neighbours = index.nearest(points.col(at), kNeighbours);
  if (neighbours.size() < static_cast<std::size_t>(kNeighbours)) return false;
  Eigen::Matrix<double, 3, kNeighbours> local;
  double distance_mm = 0.0;
  for (int k = 0; k < kNeighbours; ++k) {
    local.col(k) = points.col(neighbours[static_cast<std::size_t>(k)].index) - points.col(at);
    distance_mm += neighbours[static_cast<std::size_t>(k)].distance_mm / (kNeighbours - 1);
  }
  const Eigen::Vector3d mean = local.rowwise().mean();
  if (mean.norm() > kAmong * distance_mm) return false;
  local.colwise() -= mean;
  const Eigen::Vector3d spread = symmetric_eigen_3(local * local.transpose()).values;
  return std::sqrt(std::max(0.0, spread[0])) < kFlat * std::sqrt(spread[1]);
}

/// Leaves out points whose neighbours are four times as far as is usual: 1/16 of the density.
std::vector<Kept> without_strays(const std::vector<Kept>& kept, const Eigen::Matrix3Xd& points,
                                 const PointIndex& index) {
  constexpr double kFarther = 4.0;
  std::vector<double> usual;
  for (const Eigen::Index at : strided(points.cols(), 2000))
    usual.push_back(loneliness_mm(points, index, at));
  const double limit_mm = usual.empty() ? 0.0 : kFarther * median_of(usual);
  std::vector<std::uint8_t> is_stray(kept.size(), 0);
  for_each_index(kept.size(), [&](std::size_t i) {
    const Eigen::Index at = kept[i].index;
    const bool is_lonely = loneliness_mm(points, index, at) > limit_mm;
    is_stray[i] = is_lonely && !is_on_coarse_face(points, index, at) ? 1 : 0;
  });
  std::vector<Kept> result;
  for (std::size_t i = 0; i < kept.size(); ++i)
    if (is_stray[i] == 0) result.push_back(kept[i]);
  return result;
}

/// Points spread evenly over the surface, in random order, and how many points of the scan they
/// stand for together. Each stands for as many: a face scanned many times as densely as the others
/// is no more surface for it.
struct Spread {
  Indices points;
  double stand_for = 0.0;
};

Spread spread_of(const std::vector<Kept>& kept) {
  Spread out;
  for (const Kept& point : kept) {
    out.points.push_back(point.index);
    out.stand_for += point.stands_for;
  }
  return out;
}

/// Evenly spread and without strays. These take up many cells: when they took more than a fifth,
/// more points are drawn in the first place.
Spread even_sample(const Eigen::Matrix3Xd& points, const PointIndex& index, std::size_t count,
                   const Rng& rng) {
  const std::vector<Kept> drawn = evenly_spread(points, count, rng);
  const std::vector<Kept> kept = without_strays(drawn, points, index);
  if (kept.size() >= drawn.size() / 5 * 4 || kept.empty()) return spread_of(kept);
  const std::size_t more = std::min(4 * count, count * drawn.size() / kept.size());
  Spread out = spread_of(without_strays(evenly_spread(points, more, rng), points, index));
  out.points.resize(std::min(out.points.size(), 5 * count / 4));
  return out;
}

/// Scatter about the local plane of the nearest neighbours: the median over a spread of points.
double noise_across_surface_mm(const Eigen::Matrix3Xd& points, const PointIndex& index) {
  constexpr int kNeighbours = 9;
  constexpr double kFreedom = kNeighbours - 3;  // a plane takes three parameters
  std::vector<double> scatter;
  for (const Eigen::Index at : strided(points.cols(), 600)) {
    const auto neighbours = index.nearest(points.col(at), kNeighbours);
    if (neighbours.size() < static_cast<std::size_t>(kNeighbours)) return 0.0;
    Eigen::Matrix<double, 3, kNeighbours> local;
    for (int k = 0; k < kNeighbours; ++k)
      local.col(k) = points.col(neighbours[static_cast<std::size_t>(k)].index);
    const Eigen::Vector3d mean = local.rowwise().mean();
    local.colwise() -= mean;
    const Eigen::Matrix3d spread = local * local.transpose();
    const double across = symmetric_eigen_3(spread).values[0];
    scatter.push_back(std::sqrt(std::max(0.0, across) / kFreedom));
  }
  return scatter.empty() ? 0.0 : median_of(scatter);
}

}  // namespace

ScanSample sample_scan(const Scan& scan, std::size_t count, const Rng& rng) {
  constexpr Eigen::Index kMostPoints = 200'000;
  constexpr int kNeighbours = 14;
  const Indices taken = strided(scan.size(), kMostPoints);
  const Eigen::Matrix3Xd points = columns_of(scan.points_mm, taken);
  const PointIndex index(points);
  const Spread spread = even_sample(points, index, count, rng);

  ScanSample sample;
  sample.noise_mm = noise_across_surface_mm(points, index);
  sample.oriented = scan.has_normals();
  sample.points_mm = columns_of(points, spread.points);
  sample.share = Eigen::VectorXd::Constant(
      sample.size(),
      spread.stand_for / (static_cast<double>(points.cols()) *
                          static_cast<double>(std::max<Eigen::Index>(1, sample.size()))));
  if (sample.oriented) {
    sample.normals.resize(3, sample.size());
    for (Eigen::Index i = 0; i < sample.size(); ++i)
      sample.normals.col(i) = scan.normals.col(
          taken[static_cast<std::size_t>(spread.points[static_cast<std::size_t>(i)])]);
  }
  if (!sample.oriented)
    sample.normals =
        estimate_normals(sample.points_mm, PointIndex(sample.points_mm), kNeighbours).normals;
  return sample;
}

bool has_surface_at(const ScanSample& sample, const PointIndex& index,
                    const Eigen::Vector3d& place_mm, const Eigen::Vector3d& normal,
                    const SurfaceReach& reach) {
  constexpr double kFacesAlike = 0.5;
  for (const Neighbour& at : index.nearest(place_mm, reach.neighbours, reach.near_mm)) {
    const double cosine = normal.dot(sample.normals.col(at.index));
    if ((sample.oriented ? cosine : std::abs(cosine)) < kFacesAlike) continue;
    if (std::abs(normal.dot(sample.points_mm.col(at.index) - place_mm)) <= reach.level_mm)
      return true;
  }
  return false;
}

}  // namespace trammel
