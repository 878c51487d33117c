#include "trammel/judge/bare_places.hpp"

#include <algorithm>
#include <cstdint>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kPlaces = 4;
constexpr unsigned kAllTaken = (1U << kPlaces) - 1U;
/// Of the radius: none of a cell that is asked at its centre alone lies farther from it.
constexpr double kSmallCell = 0.5;

/// The centre of the middle quarter is the cell's; the others lie half way to its corners.
Vector3d place_of(const SurfaceCells& cells, Index cell, int k) {
  const Vector3d center = cells.center_mm.col(cell);
  return k == 0 ? center
                : Vector3d(0.5 * (center + cells.vertices_mm.col(cells.cells(k - 1, cell))));
}

bool is_small(const SurfaceCells& cells, Index cell, double radius_mm) {
  const Vector3d center = cells.center_mm.col(cell);
  const auto& corners = cells.cells.col(cell);
  return std::all_of(corners.begin(), corners.end(), [&](int corner) {
    return (cells.vertices_mm.col(corner) - center).norm() <= kSmallCell * radius_mm;
  });
}

/// The places near points, found by handing each point on from the cell of its foot to neighbours
/// that none has come to yet, as far as it is near their centres.
class Taken {
 public:
  Taken(const SurfaceCells& cells, const Eigen::VectorXi& cell_of_point,
        const Eigen::Matrix3Xd& points_mm, double radius_mm)
      : cells_(cells),
        points_mm_(points_mm),
        radius2_(radius_mm * radius_mm),
        whole_mm_(radius_mm - cells.longest_edge_mm / 3.0),
        places_(static_cast<std::size_t>(cells.size()), 0),
        point_(places_.size(), -1) {
    for (Index i = 0; i < points_mm.cols(); ++i)
      if (cell_of_point[i] >= 0 && !is_whole(cell_of_point[i]))
        reach(cell_of_point[i], static_cast<int>(i));
    for (std::size_t next = 0; next < reached_.size(); ++next)
      hand_on(reached_[next]);
  }

  [[nodiscard]] bool is_whole(Index cell) const {
    return places_[static_cast<std::size_t>(cell)] == kAllTaken;
  }
  [[nodiscard]] bool has(Index cell, int k) const {
    return (places_[static_cast<std::size_t>(cell)] & (1U << k)) != 0;
  }

 private:
  /// No place lies farther from its cell's centre than a third of the longest edge: half way to a
  /// corner, which lies two thirds of a median from it.
  void reach(int cell, int point) {
    const auto c = static_cast<std::size_t>(cell);
    if (point_[c] < 0) {
      point_[c] = point;
      reached_.push_back(cell);
    }
    const double off_mm = (points_mm_.col(point) - cells_.center_mm.col(cell)).norm();
    if (off_mm <= whole_mm_) {
      places_[c] = kAllTaken;
      return;
    }
    unsigned taken = places_[c];
    for (int k = 0; k < kPlaces; ++k)
      if ((points_mm_.col(point) - place_of(cells_, cell, k)).squaredNorm() <= radius2_)
        taken |= 1U << k;
    places_[c] = static_cast<std::uint8_t>(taken);
  }

  void hand_on(int cell) {
    const int point = point_[static_cast<std::size_t>(cell)];
    for (int k = 0; k < 3; ++k) {
      const int other = cells_.neighbours(k, cell);
      if (other < 0 || is_whole(other)) continue;
      if ((points_mm_.col(point) - cells_.center_mm.col(other)).squaredNorm() <= radius2_)
        reach(other, point);
    }
  }

  const SurfaceCells& cells_;
  const Eigen::Matrix3Xd& points_mm_;
  double radius2_, whole_mm_;
  std::vector<std::uint8_t> places_;  ///< a bit for each that is taken
  std::vector<int> point_;            ///< the first that came to a cell, −1: none did
  std::vector<int> reached_;          ///< cells in the order that points came to them
};

}  // namespace

std::vector<BarePlace> bare_places(const SurfaceCells& cells, const Eigen::VectorXi& cell_of_point,
                                   const Eigen::Matrix3Xd& points_mm, double radius_mm) {
  const Taken taken(cells, cell_of_point, points_mm, radius_mm);
  std::vector<BarePlace> out;
  for (int cell = 0; cell < cells.size(); ++cell) {
    if (taken.is_whole(cell)) continue;
    const int places = is_small(cells, cell, radius_mm) ? 1 : kPlaces;
    for (int k = 0; k < places; ++k)
      if (!taken.has(cell, k)) out.push_back({cell, place_of(cells, cell, k)});
  }
  return out;
}

}  // namespace trammel
