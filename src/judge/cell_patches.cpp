#include "trammel/judge/cell_patches.hpp"

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
