#include "trammel/judge/pressed_places.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace trammel {
namespace {

constexpr double kAsHighAsDeep = 1.5;
constexpr double kLooksAway = -0.99;  // cosine

Eigen::Vector3d middle_of(const LocalFlaw& patch, const SurfaceCells& cells) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  double area_mm2 = 0.0;
  for (const int c : patch.cells) {
    sum += cells.area_mm2[c] * cells.center_mm.col(c);
    area_mm2 += cells.area_mm2[c];
  }
  return sum / area_mm2;
}

bool is_pressed(const LocalFlaw& dent, const LocalFlaw& blob, const SurfaceCells& cells,
                double thickest_mm) {
  if (dent.flaw.kind != FlawKind::Dent || blob.flaw.kind != FlawKind::Blob) return false;
  if (dent.flaw.normal.dot(blob.flaw.normal) > kLooksAway) return false;
  const double deep = std::abs(dent.flaw.figure_mm), high = std::abs(blob.flaw.figure_mm);
  const Eigen::Vector3d through = middle_of(dent, cells) - middle_of(blob, cells);
  const double thick_mm = through.dot(dent.flaw.normal);
  return std::max(deep, high) < kAsHighAsDeep * std::min(deep, high) && thick_mm > 0.0 &&
         thick_mm <= thickest_mm &&
         through.cross(dent.flaw.normal).norm() <
             0.5 * std::sqrt(std::min(dent.area_mm2, blob.area_mm2));
}

LocalFlaw pressed(const LocalFlaw& dent, const LocalFlaw& blob) {
  LocalFlaw out = dent;
  out.flaw.of_wall = true;
  out.cells.insert(out.cells.end(), blob.cells.begin(), blob.cells.end());
  std::sort(out.cells.begin(), out.cells.end());
  return out;
}

}  // namespace

std::vector<LocalFlaw> with_pressed_places(const std::vector<LocalFlaw>& patches,
                                           const SurfaceCells& cells, double thickest_mm) {
  std::vector<LocalFlaw> out;
  std::vector<bool> joined(patches.size(), false);
  for (std::size_t i = 0; i < patches.size(); ++i) {
    for (std::size_t k = i + 1; k < patches.size() && !joined[i]; ++k) {
      if (joined[k]) continue;
      const bool dent_first = patches[i].flaw.kind == FlawKind::Dent;
      const LocalFlaw &dent = patches[dent_first ? i : k], &blob = patches[dent_first ? k : i];
      if (!is_pressed(dent, blob, cells, thickest_mm)) continue;
      out.push_back(pressed(dent, blob));
      joined[i] = joined[k] = true;
    }
    if (!joined[i]) out.push_back(patches[i]);
  }
  return out;
}

}  // namespace trammel
