#include "trammel/judge/cell_patches.hpp"

namespace trammel {

std::vector<std::vector<int>> cell_patches(const SurfaceCells& cells,
                                           std::vector<std::uint8_t> chosen) {
  std::vector<std::vector<int>> patches;
  for (std::size_t seed = 0; seed < chosen.size(); ++seed) {
    if (chosen[seed] == 0) continue;
    chosen[seed] = 0;
    std::vector<int> patch(1, static_cast<int>(seed));
    for (std::size_t next = 0; next < patch.size(); ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = cells.neighbours(k, patch[next]);
        if (other < 0 || chosen[static_cast<std::size_t>(other)] == 0) continue;
        chosen[static_cast<std::size_t>(other)] = 0;
        patch.push_back(other);
      }
    }
    patches.push_back(std::move(patch));
  }
  return patches;
}

std::vector<int> smooth_face_of_cells(const SurfaceCells& cells, double least_cosine) {
  std::vector<int> face_of(static_cast<std::size_t>(cells.size()), -1);
  int faces = 0;
  for (int seed = 0; seed < static_cast<int>(face_of.size()); ++seed) {
    if (face_of[static_cast<std::size_t>(seed)] >= 0) continue;
    face_of[static_cast<std::size_t>(seed)] = faces;
    std::vector<int> face(1, seed);
    for (std::size_t next = 0; next < face.size(); ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = cells.neighbours(k, face[next]);
        if (other < 0 || face_of[static_cast<std::size_t>(other)] >= 0) continue;
        if (cells.normal.col(other).dot(cells.normal.col(face[next])) < least_cosine) continue;
        face_of[static_cast<std::size_t>(other)] = faces;
        face.push_back(other);
      }
    }
    ++faces;
  }
  return face_of;
}

}  // namespace trammel
