#include "trammel/judge/face_cells.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr int kFewestBehind = 3;
constexpr double kSeenToPass = 0.9, kGapShare = 0.02, kPatchesOfGap = 5.0;

}  // namespace

Eigen::VectorXi cells_of_face(const SmoothFace& face, const SurfaceCells& cells) {
  Eigen::VectorXi of = Eigen::VectorXi::Constant(cells.size(), -1);
  for (Index c = 0; c < cells.size(); ++c)
    if (std::binary_search(face.triangles.begin(), face.triangles.end(), cells.triangle[c]))
      of[c] = 0;
  return of;
}

double seen_share(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                  const CellReadings& readings) {
  double seen = 0.0, all = 0.0;
  for (Index c = 0; c < cells.size(); ++c) {
    if (of_face[c] < 0) continue;
    all += cells.area_mm2[c];
    if (readings.seen[static_cast<std::size_t>(c)] != 0) seen += cells.area_mm2[c];
  }
  return all > 0.0 ? seen / all : 0.0;
}

bool has_reading(const CellReadings& readings, Index cell) {
  return readings.seen[static_cast<std::size_t>(cell)] != 0 &&
         std::isfinite(readings.deviation_mm[cell]) && readings.support[cell] >= kFewestBehind;
}

FaceSight sight_of(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                   const CellReadings& readings) {
  FaceSight out;
  double read = 0.0;
  std::vector<std::uint8_t> open(static_cast<std::size_t>(cells.size()), 0);
  for (Index c = 0; c < cells.size(); ++c) {
    if (of_face[c] < 0) continue;
    out.area_mm2 += cells.area_mm2[c];
    if (has_reading(readings, c)) {
      read += cells.area_mm2[c];
    } else {
      open[static_cast<std::size_t>(c)] = 1;
    }
  }
  if (out.area_mm2 > 0.0) out.share = read / out.area_mm2;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(open))) {
    double area_mm2 = 0.0;
    for (const int cell : patch)
      area_mm2 += cells.area_mm2[cell];
    if (area_mm2 <= out.gap_mm2) continue;
    out.gap_mm2 = area_mm2;
    out.gap_at_mm = cells.center_mm.col(patch[patch.size() / 2]);
  }
  return out;
}

std::string why_not_all_seen(const FaceSight& sight, double least_area_mm2) {
  if (!(sight.share >= kSeenToPass))
    return "only " + fixed(std::floor(100.0 * sight.share), 0) + " % of it was seen, " +
           fixed(100.0 * kSeenToPass, 0) + " % are needed to pass";
  if (sight.gap_mm2 > std::max(kPatchesOfGap * least_area_mm2, kGapShare * sight.area_mm2))
    return fixed(sight.gap_mm2, 0) + " mm² of it near " + place_words(sight.gap_at_mm) +
           " were not seen";
  return {};
}

}  // namespace trammel
