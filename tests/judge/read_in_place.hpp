#pragma once

/// A scan of a part in the place where it was drawn, read against its design: what the tests of
/// missing surface ask of.

#include <Eigen/Core>

#include "support/virtual_scanner.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/judge/missing_places.hpp"
#include "trammel/judge/regions.hpp"

namespace trammel::test {

/// 40,000 points, regions beyond 0.5 mm, told which of them are missing.
struct ReadInPlace {
  ReadInPlace(const Mesh& design, const Mesh& real) : index(design), tree(design, 0.8) {
    ScannerSettings settings;
    settings.points = 40000;
    settings.random_pose = false;
    const VirtualScan scan = scan_of(real, settings, Rng(17));
    points_mm = scan.T_design_scan * scan.scan.points_mm;
    normals = facing_normals(scan.scan, index, scan.T_design_scan);
    deviations = compare(scan.scan, normals, index, scan.T_design_scan);
    readings = read_cells(design, tree, deviations, {});
    found = find_regions(Plan{}, tree.cells(), readings, deviations, 0.05, 0.03, 0.4);
    tell_missing(evidence(), found.region_of_cell, found.regions);
  }
  ReadInPlace(const ReadInPlace&) = delete;
  ReadInPlace& operator=(const ReadInPlace&) = delete;

  /// Good for as long as this lives.
  [[nodiscard]] MissingEvidence evidence() const {
    return {index, tree.cells(), readings, deviations, points_mm, normals, 0.05};
  }

  SurfaceIndex index;
  CellTree tree;
  Eigen::Matrix3Xd points_mm, normals;
  Deviations deviations;
  CellReadings readings;
  FoundRegions found;
};

}  // namespace trammel::test
