#pragma once

/// A check as anyone would write it in an afternoon with a general-purpose library: a peer to
/// measure a whole check against.

#include <Eigen/Geometry>
#include <filesystem>
#include <optional>

#include "trammel/model/mesh.hpp"

namespace trammel::bench {

/// With Open3D: reads part.stl and scan.ply of the folder, aligns them by FPFH and RANSAC on points
/// thinned to 1/70 of the diagonal, then by point-to-plane ICP, takes the distance of every point
/// to the design, and writes a coloured PLY. @return wall time in ms; nothing without Open3D
[[nodiscard]] std::optional<double> plain_job_ms(const std::filesystem::path& folder);

struct PlainPose {
  double time_ms = 0.0;
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
};

/// The alignment of that job alone, of points in memory. Nothing without Open3D.
[[nodiscard]] std::optional<PlainPose> plain_alignment(const Mesh& design,
                                                       const Eigen::Matrix3Xd& points_mm);

}  // namespace trammel::bench
