/// That the study's own truth is true, on parts whose answers are known in closed form.

#include "study/true_surface.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "study/planted_flaws.hpp"
#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel::test {
namespace {

using Eigen::Isometry3d;
using Eigen::Vector3d;

Recipe plain_plate() {
  Recipe recipe;
  recipe.length_mm = 100;
  recipe.width_mm = 60;
  recipe.thickness_mm = 3;
  recipe.cut_mm = 10;
  recipe.holes = {{0, {30, 30}, 8.0}};
  return recipe;
}

TEST(RandomParts, AreClosedAndWoundOutward) {
  for (const Family family : all_families()) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      const Mesh mesh = built(random_recipe(family, Rng(seed)));
      EXPECT_EQ((edge_neighbours(mesh).across.array() < 0).count(), 0)
          << family_name(family) << ' ' << seed;
      EXPECT_GT(signed_volume_mm3(mesh), 0.0) << family_name(family) << ' ' << seed;
    }
  }
}

TEST(PlantedFlaws, LeaveTheMeshClosed) {
  for (const PlantedKind kind : all_planted_kinds()) {
    for (int number = 0; number < 2; ++number) {
      const PlantedPart part = planted_part(kind, number);
      EXPECT_EQ((edge_neighbours(part.real).across.array() < 0).count(), 0) << part.words;
    }
  }
}

TEST(TrueSurface, AFaceThatIsOffIsOffByThatOverItsArea) {
  const Recipe recipe = plain_plate();
  const Mesh drawn = refined(built(recipe), 3.0);
  const Mesh real = displaced(drawn, [](const Vector3d& p) -> Vector3d {
    return p.z() > 2.9 ? Vector3d(0, 0, 0.4) : Vector3d(0, 0, 0);
  });
  const TrueSurface surface = true_surface(recipe, drawn, real);
  // The plate less the triangle of its cut corner and the 48-cornered hole.
  const double face = 100 * 60 - 0.5 * 10 * 6 - 24 * 16 * std::sin(2 * kPi / 48);
  const Isometry3d as_made = Isometry3d::Identity();
  EXPECT_NEAR(surface.area_beyond(as_made, 0.39), face, 1e-6);
  EXPECT_EQ(surface.area_beyond(as_made, 0.41), 0.0);
  EXPECT_NEAR(surface.level_mm(as_made, 4.0), 0.4, 1e-9);
  // Shared between its two faces, it is 0.2 mm proud on both.
  EXPECT_NEAR(surface.level_mm(kindest_motion(surface, 0.3, 4.0), 4.0), 0.2, 0.01);
}

TEST(TrueSurface, AMovedPartIsFoundBack) {
  const Recipe recipe = plain_plate();
  const Mesh drawn = refined(built(recipe), 3.0);
  Isometry3d motion = Isometry3d::Identity();
  motion.rotate(Eigen::AngleAxisd(0.004, Vector3d(1, 2, 3).normalized()));
  motion.pretranslate(Vector3d(0.1, -0.2, 0.3));
  const TrueSurface surface = true_surface(recipe, drawn, moved(drawn, motion));
  for (const Isometry3d& back : {fitted(surface, 2.0), fitted(surface, 2.0, 0.1)})
    EXPECT_LT(surface.level_mm(back, 4.0), 1e-6);
}

TEST(TrueSurface, AHoleMadeElsewhereIsOffByTheCosineAroundIt) {
  const Recipe recipe = plain_plate();
  const Mesh drawn = refined(built(recipe), 3.0);
  TrueSurface surface = true_surface(recipe, drawn, drawn);
  PartHole made = recipe.holes[0];
  made.at_mm.x() += 0.5;
  replace_hole(surface, recipe, 0, made);
  const Isometry3d as_made = Isometry3d::Identity();
  // To first order the wall is off by 0.5 cos φ: beyond 0.4 over two arcs of acos 0.8, a side each;
  // the wall is 3 deep, radius 4. Second order moves that by off/2r = 6 %.
  EXPECT_NEAR(surface.area_beyond(as_made, 0.4), 2 * std::acos(0.8) * 4 * 3, 0.15 * 15.4);
  EXPECT_NEAR(surface.deviations(as_made).maxCoeff(), 0.5, 1e-3);
  EXPECT_NEAR(surface.deviations(as_made).minCoeff(), -0.5, 1e-3);
}

}  // namespace
}  // namespace trammel::test
