#include "trammel/judge/bare_places.hpp"

#include <algorithm>
#include <atomic>
#include <cstdint>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kPlaces = 4;
/// Marks of a cell: one for each of its places that a point lies near, and one for any point.
constexpr unsigned kAllTaken = (1U << kPlaces) - 1U, kHasPoint = 1U << kPlaces;

/// The centre of the middle quarter is the cell's; the others lie half way to its corners.
Vector3d place_of(const SurfaceCells& cells, Index cell, int k) {
  const Vector3d center = cells.center_mm.col(cell);
  return k == 0 ? center
                : Vector3d(0.5 * (center + cells.vertices_mm.col(cells.cells(k - 1, cell))));
}

std::vector<std::atomic<std::uint8_t>> marks_of_cells(const SurfaceCells& cells,
                                                      const Eigen::VectorXi& cell_of_point,
                                                      const Eigen::Matrix3Xd& feet_mm,
                                                      double radius_mm) {
  std::vector<std::atomic<std::uint8_t>> marks(static_cast<std::size_t>(cells.size()));
  for_each_index(static_cast<std::size_t>(feet_mm.cols()), [&](std::size_t i) {
    const auto point = static_cast<Index>(i);
    const int cell = cell_of_point[point];
    if (cell < 0) return;
    std::atomic<std::uint8_t>& mark = marks[static_cast<std::size_t>(cell)];
    const unsigned old = mark.load(std::memory_order_relaxed);
    if (old == (kHasPoint | kAllTaken)) return;
    unsigned now = old | kHasPoint;
    for (int k = 0; k < kPlaces; ++k)
      if ((feet_mm.col(point) - place_of(cells, cell, k)).squaredNorm() <= radius_mm * radius_mm)
        now |= 1U << k;
    if (now != old) mark.fetch_or(static_cast<std::uint8_t>(now), std::memory_order_relaxed);
  });
  return marks;
}

/// Whether a cell with a point lies as a whole within so much of this cell's centre that the point
/// is within the radius of each of its places; looked for from here over cells without any.
bool has_point_about(const SurfaceCells& cells, const std::vector<std::atomic<std::uint8_t>>& marks,
                     int cell, double radius_mm, std::vector<int>& walked) {
  const Vector3d center = cells.center_mm.col(cell);
  const auto farthest_corner_mm = [&](int of) {
    double far_mm = 0.0;
    for (const int corner : cells.cells.col(of))
      far_mm = std::max(far_mm, (cells.vertices_mm.col(corner) - center).norm());
    return far_mm;
  };
  const double reach_mm = radius_mm - 0.5 * farthest_corner_mm(cell);
  walked.assign(1, cell);
  for (std::size_t next = 0; next < walked.size(); ++next) {
    if (farthest_corner_mm(walked[next]) > reach_mm) continue;
    if (marks[static_cast<std::size_t>(walked[next])] != 0) return true;
    for (int k = 0; k < 3; ++k) {
      const int other = cells.neighbours(k, walked[next]);
      if (other >= 0 && std::find(walked.begin(), walked.end(), other) == walked.end())
        walked.push_back(other);
    }
  }
  return false;
}

}  // namespace

std::vector<BarePlace> bare_places(const SurfaceCells& cells, const Eigen::VectorXi& cell_of_point,
                                   const Eigen::Matrix3Xd& feet_mm, double radius_mm) {
  const auto marks = marks_of_cells(cells, cell_of_point, feet_mm, radius_mm);
  constexpr std::size_t kGrain = 4096;
  std::vector<std::vector<BarePlace>> found((marks.size() + kGrain - 1) / kGrain);
  for_each_chunk(marks.size(), kGrain, [&](std::size_t begin, std::size_t end) {
    std::vector<int> walked;
    for (std::size_t i = begin; i < end; ++i) {
      const auto cell = static_cast<int>(i);
      const unsigned mark = marks[i];
      if ((mark & kAllTaken) == kAllTaken) continue;
      if (has_point_about(cells, marks, cell, radius_mm, walked)) continue;
      for (int k = 0; k < kPlaces; ++k)
        if ((mark & (1U << k)) == 0)
          found[begin / kGrain].push_back({cell, place_of(cells, cell, k)});
    }
  });
  std::vector<BarePlace> out;
  for (const std::vector<BarePlace>& some : found)
    out.insert(out.end(), some.begin(), some.end());
  return out;
}

}  // namespace trammel
