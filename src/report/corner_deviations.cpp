#include "trammel/report/corner_deviations.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// The cells around every vertex, as one list with a start for each vertex.
struct CellsAround {
  std::vector<int> start, cell;
};

CellsAround cells_around(const SurfaceCells& cells) {
  CellsAround around;
  around.start.assign(static_cast<std::size_t>(cells.vertices_mm.cols()) + 1, 0);
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    for (int k = 0; k < 3; ++k)
      ++around.start[static_cast<std::size_t>(cells.cells(k, c)) + 1];
  }
  for (std::size_t v = 1; v < around.start.size(); ++v)
    around.start[v] += around.start[v - 1];
  around.cell.resize(static_cast<std::size_t>(3 * cells.size()));
  std::vector<int> next(around.start.begin(), around.start.end() - 1);
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    for (int k = 0; k < 3; ++k) {
      int& slot = next[static_cast<std::size_t>(cells.cells(k, c))];
      around.cell[static_cast<std::size_t>(slot++)] = static_cast<int>(c);
    }
  }
  return around;
}

/// Sums for the plane deviation = value + slope · place, fitted to cell centres around a vertex.
struct PlaneFit {
  Eigen::Matrix3d normal_matrix = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right_side = Eigen::Vector3d::Zero();
  double low = std::numeric_limits<double>::infinity(), high = -low;
  int count = 0;

  void add(double x, double y, double deviation) {
    const Eigen::Vector3d row(1.0, x, y);
    normal_matrix += row * row.transpose();
    right_side += deviation * row;
    low = std::min(low, deviation);
    high = std::max(high, deviation);
    ++count;
  }
  /// At the vertex itself. Where too few cells hold the slope: their mean.
  [[nodiscard]] double value() const {
    const double mean = right_side[0] / count;
    if (count < 4) return mean;
    const Eigen::Vector3d fitted = normal_matrix.ldlt().solve(right_side);
    const double slack = 0.5 * (high - low);  // a fit runs on past its readings so far, no farther
    if (!std::isfinite(fitted[0])) return mean;
    return std::clamp(fitted[0], low - slack, high + slack);
  }
};

/// At the vertex, of the cells about it that face within 45° of the normal.
double corner_value(const SurfaceMap& surface, const CellsAround& around, std::size_t vertex,
                    const Eigen::Vector3d& normal) {
  const SurfaceCells& cells = surface.cells;
  const Eigen::VectorXd& reading = surface.readings.deviation_mm;
  const Eigen::Vector3d right = normal.unitOrthogonal(), up = normal.cross(right);
  const Eigen::Vector3d at = cells.vertices_mm.col(static_cast<Eigen::Index>(vertex));
  const double area_mm2 =
      cells.area_mm2[around.cell[static_cast<std::size_t>(around.start[vertex])]];
  const double unit = 1.0 / std::sqrt(area_mm2 + 1e-300);  // keeps the sums near 1
  const double least_cosine = std::sqrt(0.5);
  PlaneFit fit;
  for (int i = around.start[vertex]; i < around.start[vertex + 1]; ++i) {
    const int other = around.cell[static_cast<std::size_t>(i)];
    if (!std::isfinite(reading[other])) continue;
    if (cells.normal.col(other).dot(normal) < least_cosine) continue;
    const Eigen::Vector3d off = unit * (cells.center_mm.col(other) - at);
    fit.add(right.dot(off), up.dot(off), reading[other]);
  }
  return fit.value();
}

/// That of the surface about the vertex, where there are seen cells and all of them face
/// within 22.5° of it: they are within 45° of each other then and share one value.
std::optional<Eigen::Vector3d> common_normal(const SurfaceMap& surface, const CellsAround& around,
                                             std::size_t vertex) {
  const auto of_seen = [&](const auto& visit) {
    for (int i = around.start[vertex]; i < around.start[vertex + 1]; ++i) {
      const int c = around.cell[static_cast<std::size_t>(i)];
      if (std::isfinite(surface.readings.deviation_mm[c])) visit(surface.cells.normal.col(c));
    }
  };
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  of_seen([&](const auto& normal) { sum += normal; });
  const Eigen::Vector3d mean = sum.normalized();
  constexpr double kCosine22_5 = 0.9238795325112867;
  bool smooth = mean.squaredNorm() > 0.5;
  of_seen([&](const auto& normal) { smooth = smooth && normal.dot(mean) >= kCosine22_5; });
  return smooth ? std::optional<Eigen::Vector3d>(mean) : std::nullopt;
}

/// Cells of one flat face share the value at a vertex: the earlier cell's is taken over.
int earlier_flat_cell(const SurfaceCells& cells, const Eigen::VectorXd& reading,
                      const CellsAround& around, std::size_t vertex, int slot) {
  const auto normal = cells.normal.col(around.cell[static_cast<std::size_t>(slot)]);
  for (int i = around.start[vertex]; i < slot; ++i) {
    const int other = around.cell[static_cast<std::size_t>(i)];
    const bool flat = (cells.normal.col(other) - normal).squaredNorm() < 1e-20;
    if (flat && std::isfinite(reading[other])) return other;
  }
  return -1;
}

Eigen::Index corner_of(const SurfaceCells& cells, int cell, std::size_t vertex) {
  for (Eigen::Index k = 0; k < 2; ++k) {
    if (cells.cells(k, cell) == static_cast<int>(vertex)) return k;
  }
  return 2;
}

}  // namespace

Eigen::Matrix3Xd corner_deviations(const SurfaceMap& surface) {
  const SurfaceCells& cells = surface.cells;
  const Eigen::VectorXd& reading = surface.readings.deviation_mm;
  const CellsAround around = cells_around(cells);
  Eigen::Matrix3Xd corners = Eigen::Matrix3Xd::Constant(3, cells.size(), kNan);
  for_each_index(around.start.size() - 1, [&](std::size_t vertex) {
    const auto shared = common_normal(surface, around, vertex);
    const double value = shared ? corner_value(surface, around, vertex, *shared) : kNan;
    for (int i = around.start[vertex]; i < around.start[vertex + 1]; ++i) {
      const int c = around.cell[static_cast<std::size_t>(i)];
      if (!std::isfinite(reading[c])) continue;
      double& corner = corners(corner_of(cells, c, vertex), c);
      if (shared) {
        corner = value;
        continue;
      }
      const int same = earlier_flat_cell(cells, reading, around, vertex, i);
      corner = same >= 0 ? corners(corner_of(cells, same, vertex), same)
                         : corner_value(surface, around, vertex, cells.normal.col(c));
    }
  });
  return corners;
}

}  // namespace trammel
