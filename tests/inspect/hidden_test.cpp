/// Designs of several bodies: what no scanner can see has no say in where the scan lies.

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"
#include "trammel/geometry/seen_from_outside.hpp"
#include "trammel/inspect.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::box;

/// Two sheets of 1.5 mm that lie on each other along 70 mm, and a smaller one on top: no symmetry.
Mesh lapped_sheets() {
  return test::together({box({0, 0, 0}, {120, 60, 1.5}), box({50, 5, 1.5}, {160, 48, 3.0}),
                         box({70, 10, 3.0}, {100, 30, 4.5})});
}

/// A core in a skin of 0.3 mm, that lies against three of its sides, and two feet that tell its
/// ends apart. The core's faces look the same way as the skin's, 0.35 mm behind them.
Mesh core_in_skin() {
  Mesh inner = box({0.3, 0.3, 0.3}, {89.7, 59.7, 39.7});
  inner.triangles.row(1).swap(inner.triangles.row(2));
  return test::together({box({0, 0, 0}, {90, 60, 40}), inner, box({0.35, 0.35, 0.35}, {80, 50, 30}),
                         box({10, 10, 40}, {30, 20, 48}), box({50, 35, 40}, {62, 52, 44})});
}

/// What came of the pose, and how far it is off at a corner of the part.
struct Lies {
  bool sure = false;
  double error_mm = 0.0, claimed_mm = 0.0, overlap = 0.0;
  Lies(const Alignment& a, const test::VirtualScan& made, const Mesh& part)
      : sure(a.is_sure()),
        error_mm(test::corner_error_mm(a.T_design_scan.inverse(), made.T_design_scan.inverse(),
                                       bounding_box(part.vertices_mm))),
        claimed_mm(a.standard_error_mm),
        overlap(a.overlap) {}
};

std::ostream& operator<<(std::ostream& to, const Lies& lies) {
  return to << (lies.sure ? "sure, " : "unsure, ") << lies.error_mm << " mm off, 1 sigma "
            << lies.claimed_mm << ", overlap " << lies.overlap;
}

test::VirtualScan scan_of_assembly(const Mesh& part, bool with_normals, double noise_mm,
                                   std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.points = 30000;
  settings.with_normals = with_normals;
  settings.noise_mm = noise_mm;
  return test::scan_of(part, settings, Rng(seed));
}

TEST(HiddenSurfaces, DoNotDragTheFit) {
  Plan plan;
  plan.scan_units = Unit::Mm;
  double worst_with_mm = 0.0, worst_without_mm = 0.0;
  for (const bool with_normals : test::some_of<bool>({true, false}, 1))
    for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2, 3}, 1)) {
      const Mesh part = core_in_skin();
      const auto made = scan_of_assembly(part, with_normals, 0.15, seed);
      const SurfaceIndex design(part);
      const Lies with(align(made.scan, design, {}, Rng(seed)), made, part);
      const Lies without(place(made.scan, design, plan).alignment, made, part);
      std::cout << "with hidden: " << with << "; without: " << without << "\n";
      EXPECT_TRUE(without.sure) << without;
      EXPECT_LT(without.error_mm, 5.0 * without.claimed_mm) << without;
      worst_with_mm = std::max(worst_with_mm, with.error_mm);
      worst_without_mm = std::max(worst_without_mm, without.error_mm);
    }
  EXPECT_LT(worst_without_mm, worst_with_mm);
}

TEST(HiddenSurfaces, OfLappedSheetsLeaveThePoseRight) {
  Plan plan;
  plan.scan_units = Unit::Mm;
  const Mesh part = lapped_sheets();
  for (const bool with_normals : test::some_of<bool>({false, true}, 1)) {
    const auto made = scan_of_assembly(part, with_normals, 0.1, 4);
    const SurfaceIndex design(part);
    const Lies lies(place(made.scan, design, plan).alignment, made, part);
    EXPECT_TRUE(lies.sure) << lies;
    EXPECT_LT(lies.error_mm, 5.0 * lies.claimed_mm) << lies;
  }
}

}  // namespace
}  // namespace trammel
