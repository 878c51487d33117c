#include "trammel/judge/surface_there.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// Readings are pooled over cells that face the same way within 45° (compare/cell_readings.hpp).
constexpr double kPooledTogether = 0.7071;

std::vector<Index> missing_cells(const CellReadings& readings) {
  std::vector<Index> out;
  for (Index c = 0; c < readings.deviation_mm.size(); ++c)
    if (readings.is_missing(c)) out.push_back(c);
  return out;
}

/// Areas of one face.
struct FaceAreas {
  double all_mm2 = 0.0, seen_mm2 = 0.0, missing_mm2 = 0.0;
  bool borders_on_missing = false;
  [[nodiscard]] bool was_made() const {
    if (2.0 * missing_mm2 > seen_mm2) return false;
    return !borders_on_missing || 2.0 * seen_mm2 >= all_mm2;
  }
};

std::vector<FaceAreas> areas_of(const SurfaceCells& cells, const CellReadings& readings,
                                const Eigen::VectorXi& face_of_cell) {
  std::vector<FaceAreas> out(static_cast<std::size_t>(face_of_cell.maxCoeff() + 1));
  for (Index c = 0; c < cells.size(); ++c) {
    if (face_of_cell[c] < 0) continue;
    FaceAreas& face = out[static_cast<std::size_t>(face_of_cell[c])];
    const double area_mm2 = cells.area_mm2[c];
    face.all_mm2 += area_mm2;
    if (readings.seen[static_cast<std::size_t>(c)] != 0) face.seen_mm2 += area_mm2;
    if (readings.is_missing(c)) face.missing_mm2 += area_mm2;
    for (const int other : cells.neighbours.col(c))
      if (other >= 0 && readings.is_missing(other)) face.borders_on_missing = true;
  }
  return out;
}

}  // namespace

CellReadings of_cells(const CellReadings& read) {
  CellReadings out;
  out.deviation_mm = read.deviation_mm;
  out.support = read.support;
  out.seen = read.seen;
  out.missing = read.missing;
  return out;
}

void take_away(CellReadings& readings, Index cell) {
  readings.deviation_mm[cell] = std::numeric_limits<double>::quiet_NaN();
  readings.support[cell] = 0;
  readings.seen[static_cast<std::size_t>(cell)] = 0;
}

CellReadings of_surface_there(const SurfaceCells& cells, const CellReadings& read,
                              double margin_mm) {
  CellReadings readings = of_cells(read);
  const std::vector<Index> missing = missing_cells(readings);
  if (missing.empty()) return readings;
  const Eigen::Matrix3Xd places = cells.center_mm(Eigen::all, missing);
  const PointIndex index(places);
  for (Index c = 0; c < cells.size(); ++c) {
    for (const Neighbour& near : index.within(cells.center_mm.col(c), margin_mm)) {
      const Index other = missing[static_cast<std::size_t>(near.index)];
      if (cells.normal.col(c).dot(cells.normal.col(other)) < kPooledTogether) continue;
      take_away(readings, c);
      break;
    }
  }
  return readings;
}

CellReadings of_faces_made(const SurfaceCells& cells, const CellReadings& read,
                           const Eigen::VectorXi& face_of_cell) {
  CellReadings readings = of_cells(read);
  if (missing_cells(readings).empty() || face_of_cell.size() == 0) return readings;
  const std::vector<FaceAreas> faces = areas_of(cells, readings, face_of_cell);
  for (Index c = 0; c < cells.size(); ++c)
    if (face_of_cell[c] >= 0 && !faces[static_cast<std::size_t>(face_of_cell[c])].was_made())
      take_away(readings, c);
  return readings;
}

}  // namespace trammel
