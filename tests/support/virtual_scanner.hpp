#pragma once

/// A scanner made of rays: sees what a real one would see of a mesh, with noise, strays and
/// clutter.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel::test {

struct ScannerSettings {
  /// Unit directions from the part to the scanner. Empty: 26 spread all round.
  std::vector<Eigen::Vector3d> views;
  std::size_t points = 60000;       ///< about as many hits on the part are kept
  double noise_mm = 0.03;           ///< 1 σ, along the surface normal
  double grazing_limit_deg = 75.0;  ///< surfaces seen more obliquely give no point
  double stray_share = 0.0;  ///< strays added per point on the part, uniform in twice its box
  bool bench = false;        ///< a table at the part's lowest z, whose top is scanned too
  bool clamp = false;        ///< a block that grips one corner of the part, hides it and is scanned
  bool with_normals = true;  ///< noisy surface normals, facing the scanner
  double normal_noise_deg = 3.0;
  bool random_pose = true;  ///< scan frame = uniform rotation, translation up to 500 mm
  double unit_mm = 1.0;     ///< coordinates are divided by this (25.4: inches)
};

struct VirtualScan {
  Scan scan;                        ///< in the scan frame and unit
  Eigen::Isometry3d T_design_scan;  ///< truth, for coordinates in mm
  std::size_t on_part = 0;          ///< points 0 … on_part − 1 lie on the part
};

/// Rays in parallel beams from each view, first hits only, over part, bench and clamp (Embree).
/// The same seed gives the same scan.
[[nodiscard]] VirtualScan scan_of(const Mesh& part, const ScannerSettings& settings, Rng rng);

/// Largest distance between where two motions put a corner of the box. For a box in design
/// coordinates pass T_scan_design: motions that go from the box's own frame.
[[nodiscard]] double corner_error_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b,
                                     const Box& box);

}  // namespace trammel::test
