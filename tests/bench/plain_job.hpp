#pragma once

/// A check as anyone would write it in an afternoon with a general-purpose library: a peer to
/// measure a whole check against.

#include <filesystem>
#include <optional>

namespace trammel::bench {

/// With Open3D: reads part.stl and scan.ply of the folder, aligns them by FPFH and RANSAC on points
/// thinned to 1/70 of the diagonal, then by point-to-plane ICP, takes the distance of every point
/// to the design, and writes a coloured PLY. @return wall time in ms; nothing without Open3D
[[nodiscard]] std::optional<double> plain_job_ms(const std::filesystem::path& folder);

}  // namespace trammel::bench
