#pragma once

/// A plate cut into cells, with readings written straight onto them.

#include <cmath>
#include <limits>
#include <utility>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/judge.hpp"

namespace trammel::test {

struct CellFixture {
  Mesh design;
  CellTree tree{design, 0.8};
  SurfaceIndex index{design};
  FlatFaces flat{find_flat_faces(index)};
  Plan plan;
  CellReadings readings;
  Deviations deviations;
  std::vector<Grip> grips;
  Alignment alignment;
  TidyCounts tidy;
  UnitChoice units;
  MeshHealth health;
  Scan scan;
  Eigen::Matrix3Xd normals;
  FoundHoles holes;
  FoundSlots slots;
  std::vector<Mate> mates;

  /// Every cell seen, with five scan points of its own, all reading `deviation(center, normal)`;
  /// NaN makes a cell unseen.
  template <typename Deviation>
  explicit CellFixture(const Deviation& deviation, Mesh mesh = box({0, 0, 0}, {60, 40, 5}))
      : design(std::move(mesh)) {
    const SurfaceCells& cells = tree.cells();
    constexpr int kEach = 5;
    const Eigen::Index points = kEach * cells.size();
    readings.deviation_mm.resize(cells.size());
    readings.support.setConstant(cells.size(), 10);
    readings.seen.assign(static_cast<std::size_t>(cells.size()), 1);
    readings.cell_of_point.resize(points);
    deviations.signed_mm.resize(points);
    deviations.reading.assign(static_cast<std::size_t>(points), Reading::Measured);
    for (Eigen::Index c = 0; c < cells.size(); ++c) {
      const double value =
          deviation(Eigen::Vector3d(cells.center_mm.col(c)), Eigen::Vector3d(cells.normal.col(c)));
      readings.deviation_mm[c] = value;
      const bool unseen = std::isnan(value);
      if (unseen) readings.seen[static_cast<std::size_t>(c)] = 0;
      if (unseen) readings.support[c] = 0;
      for (int k = 0; k < kEach; ++k) {
        const Eigen::Index i = kEach * c + k;
        readings.cell_of_point[i] = unseen ? -1 : static_cast<int>(c);
        deviations.signed_mm[i] = value;
        if (unseen) deviations.reading[static_cast<std::size_t>(i)] = Reading::TooFar;
      }
    }
    plan.uncertainty_mm = 0.05;
    alignment.found = alignment.converged = true;
    alignment.overlap = 1.0;
    tidy.read = tidy.kept = static_cast<std::size_t>(points);
    tidy.spacing_mm = 0.4;
  }

  [[nodiscard]] Evidence evidence() const {
    return {plan,       index, health, scan,     normals, tidy,  units, alignment,
            deviations, grips, tree,   readings, holes,   slots, flat,  mates};
  }
  [[nodiscard]] Judgement judged() const { return judge(evidence()); }
};

inline constexpr double kUnseen = std::numeric_limits<double>::quiet_NaN();

/// A square of `side` mm on the upper face about (30, 20).
inline bool in_square(const Eigen::Vector3d& p, const Eigen::Vector3d& normal, double side) {
  return normal.z() > 0.9 && std::abs(p.x() - 30) < 0.5 * side && std::abs(p.y() - 20) < 0.5 * side;
}

}  // namespace trammel::test
