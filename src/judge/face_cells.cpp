#include "trammel/judge/face_cells.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

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

Eigen::VectorXi without_edges(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                              double margin_mm) {
  std::vector<Vector3d> border;
  for (Index c = 0; c < cells.size(); ++c) {
    if (of_face[c] < 0) continue;
    for (Index k = 0; k < 3; ++k) {
      const int other = cells.neighbours(k, c);
      if (other >= 0 && of_face[other] >= 0) continue;
      border.push_back(0.5 * (cells.vertices_mm.col(cells.cells(k, c)) +
                              cells.vertices_mm.col(cells.cells((k + 1) % 3, c))));
    }
  }
  Eigen::VectorXi out = of_face;
  if (border.empty()) return out;
  Eigen::Matrix3Xd places(3, static_cast<Index>(border.size()));
  for (std::size_t i = 0; i < border.size(); ++i)
    places.col(static_cast<Index>(i)) = border[i];
  const PointIndex index(places);
  for (Index c = 0; c < cells.size(); ++c)
    if (out[c] >= 0 && !index.nearest(cells.center_mm.col(c), 1, margin_mm).empty()) out[c] = -1;
  return out;
}

Eigen::VectorXd points_in_cells(const CellReadings& readings) {
  Eigen::VectorXd points = Eigen::VectorXd::Zero(readings.deviation_mm.size());
  for (Index i = 0; i < readings.cell_of_point.size(); ++i)
    if (readings.cell_of_point[i] >= 0) points[readings.cell_of_point[i]] += 1.0;
  return points;
}

CellValues values_of(const Eigen::VectorXi& chosen, const CellReadings& readings,
                     const Eigen::VectorXd& points) {
  CellValues out;
  out.chosen = chosen;
  out.points = points;
  out.missing = readings.missing;
  out.value_mm.setConstant(chosen.size(), std::numeric_limits<double>::quiet_NaN());
  out.support.setZero(chosen.size());
  for (Index c = 0; c < chosen.size(); ++c) {
    if (chosen[c] < 0 || !has_reading(readings, c)) continue;
    out.value_mm[c] = readings.deviation_mm[c];
    out.support[c] = readings.support[c];
  }
  return out;
}

namespace {

/// Two of its three neighbours were read: it is no larger than chance leaves in a coarse scan.
bool is_between_read(const CellValues& values, const SurfaceCells& cells, Index cell) {
  int read = 0;
  for (Index k = 0; k < 3; ++k) {
    const int other = cells.neighbours(k, cell);
    if (other >= 0 && values.chosen[other] >= 0 && std::isfinite(values.value_mm[other])) ++read;
  }
  return read >= 2;
}

}  // namespace

FaceSight sight_of(const CellValues& values, const SurfaceCells& cells) {
  FaceSight out;
  double read = 0.0;
  std::vector<std::uint8_t> open(static_cast<std::size_t>(cells.size()), 0);
  for (Index c = 0; c < cells.size(); ++c) {
    if (values.chosen[c] < 0) continue;
    out.area_mm2 += cells.area_mm2[c];
    const bool missing = values.is_missing(c);
    if (missing) {
      out.missing_mm2 += cells.area_mm2[c];
      out.missing_at_mm = cells.center_mm.col(c);
    }
    if (!missing && (std::isfinite(values.value_mm[c]) || is_between_read(values, cells, c))) {
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
  if (sight.missing_mm2 > 0.0 && sight.missing_mm2 >= least_area_mm2)
    return fixed(sight.missing_mm2, 0) + " mm² of it near " + place_words(sight.missing_at_mm) +
           " are missing";
  if (!(sight.share >= kSeenToPass))
    return "only " + fixed(std::floor(100.0 * sight.share), 0) +
           " % of it was scanned densely enough to be read, " + fixed(100.0 * kSeenToPass, 0) +
           " % are needed to pass";
  if (sight.gap_mm2 > std::max(kPatchesOfGap * least_area_mm2, kGapShare * sight.area_mm2))
    return fixed(sight.gap_mm2, 0) + " mm² of it near " + place_words(sight.gap_at_mm) +
           " were not seen";
  return {};
}

}  // namespace trammel
