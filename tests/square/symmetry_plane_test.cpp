#include "trammel/square/symmetry_plane.hpp"

#include <gtest/gtest.h>

#include "square/cart.hpp"
#include "support/panel.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

Patches patches_on(const Mesh& mesh) {
  const SurfaceSamples samples = sample_surface(mesh, 40'000, Rng(1));
  return patches_of(samples.points_mm, PointIndex(samples.points_mm), 10'000);
}

TEST(SymmetryPlane, IsFoundWithoutKnowingUp) {
  test::CartOptions options;
  options.floor = false;
  const FoundPlane plane = symmetry_plane(patches_on(test::cart(options)), std::nullopt, Rng(2));
  EXPECT_TRUE(plane.found) << plane.doubt << plane.share << ' ' << plane.rival;
  EXPECT_GT(std::abs(plane.normal.y()), 0.99999);
  EXPECT_NEAR(plane.offset_mm, 0.0, 1.0);
  EXPECT_GT(plane.share, 0.7);
}

TEST(SymmetryPlane, OfAPanelOfOneSideIsNotFound) {
  const FoundPlane plane = symmetry_plane(patches_on(test::wing_panel()), std::nullopt, Rng(3));
  EXPECT_FALSE(plane.found) << plane.share;
  EXPECT_FALSE(plane.doubt.empty());
}

TEST(SymmetryPlane, OfABallIsOneOfMany) {
  EXPECT_FALSE(symmetry_plane(patches_on(test::sphere(100, 5)), std::nullopt, Rng(4)).found);
}

}  // namespace
}  // namespace trammel
