#include "trammel/judge/cell_patches.hpp"

#include <algorithm>
#include <utility>

#include "trammel/model/mesh.hpp"

namespace trammel {
namespace {

/// The seed and all cells that are reached from it over edges that `joins(from, to)` lets through,
/// in the order they are walked. `joins` must say no to a cell that it has let through before.
template <typename Joins>
std::vector<int> walk_from(const SurfaceCells& cells, int seed, const Joins& joins) {
  std::vector<int> walked(1, seed);
  for (std::size_t next = 0; next < walked.size(); ++next) {
    for (int k = 0; k < 3; ++k) {
      const int other = cells.neighbours(k, walked[next]);
      if (other >= 0 && joins(walked[next], other)) walked.push_back(other);
    }
  }
  return walked;
}

/// The corners of a patch and the box around them.
struct Corners {
  Eigen::Matrix3Xd places_mm;
  Box box;
};

Corners corners_of(const SurfaceCells& cells, const std::vector<int>& patch) {
  Corners out;
  out.places_mm.resize(3, 3 * static_cast<Eigen::Index>(patch.size()));
  Eigen::Index next = 0;
  for (const int cell : patch)
    for (const int corner : cells.cells.col(cell))
      out.places_mm.col(next++) = cells.vertices_mm.col(corner);
  out.box = bounding_box(out.places_mm);
  return out;
}

bool are_close(const Corners& a, const Corners& b, double gap_mm) {
  if (((a.box.low_mm - b.box.high_mm).array() > gap_mm).any()) return false;
  if (((b.box.low_mm - a.box.high_mm).array() > gap_mm).any()) return false;
  for (Eigen::Index i = 0; i < a.places_mm.cols(); ++i) {
    const auto apart = (b.places_mm.colwise() - a.places_mm.col(i)).colwise().squaredNorm();
    if (apart.minCoeff() <= gap_mm * gap_mm) return true;
  }
  return false;
}

}  // namespace

std::vector<std::vector<int>> cell_patches(const SurfaceCells& cells,
                                           std::vector<std::uint8_t> chosen) {
  std::vector<std::vector<int>> patches;
  for (std::size_t seed = 0; seed < chosen.size(); ++seed) {
    if (chosen[seed] == 0) continue;
    chosen[seed] = 0;
    patches.push_back(walk_from(cells, static_cast<int>(seed), [&](int, int to) {
      std::uint8_t& left = chosen[static_cast<std::size_t>(to)];
      const bool joins = left != 0;
      left = 0;
      return joins;
    }));
  }
  return patches;
}

std::vector<std::vector<std::size_t>> patches_close_together(
    const SurfaceCells& cells, const std::vector<std::vector<int>>& patches, double gap_mm) {
  std::vector<Corners> corners;
  for (const std::vector<int>& patch : patches)
    corners.push_back(corners_of(cells, patch));
  std::vector<std::vector<std::size_t>> groups;
  std::vector<std::uint8_t> taken(patches.size(), 0);
  for (std::size_t seed = 0; seed < patches.size(); ++seed) {
    if (taken[seed] != 0) continue;
    taken[seed] = 1;
    std::vector<std::size_t> group(1, seed);
    for (std::size_t next = 0; next < group.size(); ++next) {
      for (std::size_t other = 0; other < patches.size(); ++other) {
        if (taken[other] != 0 || !are_close(corners[group[next]], corners[other], gap_mm)) continue;
        taken[other] = 1;
        group.push_back(other);
      }
    }
    std::sort(group.begin(), group.end());
    groups.push_back(std::move(group));
  }
  return groups;
}

double area_of_a_point(const SurfaceCells& cells, const CellReadings& readings) {
  double seen = 0.0;
  for (Eigen::Index c = 0; c < cells.size(); ++c)
    if (readings.seen[static_cast<std::size_t>(c)] != 0) seen += cells.area_mm2[c];
  const auto points = (readings.cell_of_point.array() >= 0).count();
  return std::max(seen, 1e-9) / std::max(1.0, static_cast<double>(points));
}

std::vector<int> smooth_face_of_cells(const SurfaceCells& cells, double least_cosine) {
  std::vector<int> face_of(static_cast<std::size_t>(cells.size()), -1);
  int faces = 0;
  for (int seed = 0; seed < static_cast<int>(face_of.size()); ++seed) {
    if (face_of[static_cast<std::size_t>(seed)] >= 0) continue;
    face_of[static_cast<std::size_t>(seed)] = faces;
    walk_from(cells, seed, [&](int from, int to) {
      int& face = face_of[static_cast<std::size_t>(to)];
      if (face >= 0 || cells.normal.col(to).dot(cells.normal.col(from)) < least_cosine)
        return false;
      face = faces;
      return true;
    });
    ++faces;
  }
  return face_of;
}

}  // namespace trammel
