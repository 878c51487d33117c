#include "trammel/square/way_up.hpp"

#include <gtest/gtest.h>

#include "square/cart.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/square/square_up.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Its roof is its largest flat face; no floor. 2 m long, the bonnet in front.
Mesh van() {
  return test::together({test::box({-1000, -400, 100}, {600, 400, 800}),
                         test::box({600, -380, 100}, {1000, 380, 450})});
}

test::VirtualScan scan_of_van(bool from_above, bool with_normals, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.points = 10'000;
  settings.noise_mm = 0.1;
  settings.with_normals = with_normals;
  for (const Vector3d& view : spread_directions(40))
    if (!from_above || view.z() > 0.1) settings.views.push_back(view);
  return test::scan_of(van(), settings, Rng(seed));
}

/// Cosine between the Z that was found and the van's.
double upright(const Squared& squared, const test::VirtualScan& made) {
  return (squared.T_square_scan.linear() * made.T_design_scan.linear().transpose())(2, 2);
}

SquareSettings front_of(const test::VirtualScan& made) {
  SquareSettings settings;
  settings.forward_mm = made.T_design_scan.inverse() * Vector3d(900, 0, 500);
  return settings;
}

// Its roof is the largest flat face, and the rest lies below: the van was set on it.
TEST(WayUp, OfARoofSeenFromAboveIsAwayFromTheRest) {
  const auto made = scan_of_van(true, true, 1);
  const Squared squared = square_up(made.scan, front_of(made), Rng(2));
  EXPECT_TRUE(squared.certain) << (squared.notes.empty() ? "" : squared.notes.front());
  EXPECT_GT(upright(squared, made), 0.99999);
}

TEST(WayUp, WithoutNormalsIsNotKnownAndSaysSo) {
  const auto made = scan_of_van(true, false, 3);
  const Squared squared = square_up(made.scan, front_of(made), Rng(2));
  EXPECT_FALSE(squared.certain);
  ASSERT_FALSE(squared.notes.empty());
  EXPECT_NE(squared.notes.front().find("--above"), std::string::npos) << squared.notes.front();
}

TEST(WayUp, SeenAllRoundIsNotKnown) {
  const auto made = scan_of_van(false, true, 4);
  EXPECT_FALSE(square_up(made.scan, front_of(made), Rng(2)).certain);
}

TEST(WayUp, IsWhereAPickedPlaceLies) {
  for (const double z : {900.0, -50.0}) {
    const auto made = scan_of_van(true, false, 5);
    SquareSettings settings = front_of(made);
    settings.up_mm = made.T_design_scan.inverse() * Vector3d(0, 0, 800);  // the roof
    settings.above_mm = made.T_design_scan.inverse() * Vector3d(0, 0, z);
    const Squared squared = square_up(made.scan, settings, Rng(2));
    EXPECT_TRUE(squared.certain);
    EXPECT_GT(upright(squared, made) * (z > 800.0 ? 1.0 : -1.0), 0.99999);
  }
}

TEST(WayUp, OfAFloorIsToTheRest) {
  for (const bool with_normals : {true, false}) {
    test::ScannerSettings settings;
    settings.points = 10'000;
    settings.noise_mm = 0.1;
    settings.with_normals = with_normals;
    for (const Vector3d& view : spread_directions(40))
      if (view.z() > 0.1) settings.views.push_back(view);
    const auto made = test::scan_of(test::cart(), settings, Rng(6));
    const Squared squared = square_up(made.scan, front_of(made), Rng(2));
    EXPECT_TRUE(squared.certain);
    EXPECT_GT(upright(squared, made), 0.99999);
  }
}

}  // namespace
}  // namespace trammel
