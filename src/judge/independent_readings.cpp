#include "trammel/judge/independent_readings.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Face, block of space, and on curved surface the way it looks: opposite sides of a small hole are
/// not one reading.
using BlockKey = std::array<int, 7>;

BlockKey key_of(const Vector3d& place, const Vector3d& normal, int face, double side_mm) {
  BlockKey key{face, 0, 0, 0, 0, 0, 0};
  for (std::size_t k = 0; k < 3; ++k) {
    const auto axis = static_cast<Index>(k);
    key[1 + k] = static_cast<int>(std::floor(place[axis] / side_mm));
    if (face < 0) key[4 + k] = static_cast<int>(std::lround(1.5 * normal[axis]));
  }
  return key;
}

struct Sum {
  Vector3d place = Vector3d::Zero(), normal = Vector3d::Zero();
  double deviation = 0.0, area = 0.0;
};

}  // namespace

double pooled_mm(double least_area_mm2, double spacing_mm) {
  return std::max(0.8 * std::sqrt(least_area_mm2 / kPi), 2.5 * spacing_mm);
}

IndependentReadings independent_readings(const SurfaceCells& cells, const CellReadings& readings,
                                         const Eigen::VectorXi& face_of_cell, double side_mm) {
  std::map<BlockKey, Sum> blocks;
  auto last = blocks.end();  // the next cell lies in the same block more often than not
  for (Index c = 0; c < cells.size(); ++c) {
    if (!std::isfinite(readings.deviation_mm[c]) || !(cells.area_mm2[c] > 0.0)) continue;
    const Vector3d place = cells.center_mm.col(c), normal = cells.normal.col(c);
    const BlockKey key = key_of(place, normal, face_of_cell[c], side_mm);
    if (last == blocks.end() || last->first != key) last = blocks.try_emplace(key).first;
    Sum& sum = last->second;
    const double area = cells.area_mm2[c];
    sum.place += area * place;
    sum.normal += area * normal;
    sum.deviation += area * readings.deviation_mm[c];
    sum.area += area;
  }
  IndependentReadings out;
  const auto count = static_cast<Index>(blocks.size());
  out.side_mm = side_mm;
  out.place_mm.resize(3, count);
  out.normal.resize(3, count);
  out.face.resize(count);
  out.deviation_mm.resize(count);
  out.area_mm2.resize(count);
  Index b = 0;
  for (const auto& [key, sum] : blocks) {
    out.place_mm.col(b) = sum.place / sum.area;
    out.normal.col(b) = sum.normal.normalized();
    out.face[b] = key[0];
    out.deviation_mm[b] = sum.deviation / sum.area;
    out.area_mm2[b] = sum.area;
    ++b;
  }
  return out;
}

}  // namespace trammel
