#pragma once

/// One scan of the demo and the truth that lies beside it.

#include <filesystem>
#include <string>
#include <vector>

#include "flaws.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel::demo {

struct DemoScan {
  std::string name;      ///< of the scan's file, "adapter-plate-1.ply"
  std::string design;    ///< of the design's file
  std::string expected;  ///< "pass" or "fail"
  std::uint64_t seed = 0;
  Mesh made;  ///< the part as it came out, in the design's frame
  std::vector<Flaw> flaws;
  test::ScannerSettings settings;
};

/// Scans the part and writes the points, and `<scan>.truth.toml`.
void write_points(const DemoScan& demo, const std::filesystem::path& folder);

/// Writes the part as a scanner program would that joins its views into a mesh: fine triangles with
/// noise, open where the part stood on its support (within `support_radius_mm` of `support_mm` on
/// the underside z = 0), and `<scan>.truth.toml`.
void write_fused_mesh(const DemoScan& demo, const Eigen::Vector2d& support_mm,
                      double support_radius_mm, const std::filesystem::path& folder);

}  // namespace trammel::demo
