#include "trammel/judge/strays.hpp"

#include <gtest/gtest.h>

#include <random>
#include <utility>

#include "support/shapes.hpp"
#include "trammel/judge/point_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// So many points a mm³, anywhere in a block of 60 × 40 × 20 mm.
Eigen::Matrix3Xd strays(double per_mm3, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> even(0.0, 1.0);
  Eigen::Matrix3Xd out(3, static_cast<Index>(per_mm3 * 60 * 40 * 20));
  for (Index i = 0; i < out.cols(); ++i)
    out.col(i) = Vector3d(60 * even(random), 40 * even(random), 20 * even(random));
  return out;
}

void add(const std::vector<Vector3d>& more, Eigen::Matrix3Xd& points_mm) {
  const Index before = points_mm.cols();
  points_mm.conservativeResize(3, before + static_cast<Index>(more.size()));
  for (std::size_t i = 0; i < more.size(); ++i)
    points_mm.col(before + static_cast<Index>(i)) = more[i];
}

/// Patches of five or more in steps of so much: all, and those that are denser than strays.
/// @param point_mm2  of the surface of the scan
std::pair<std::size_t, std::size_t> patches(const Eigen::Matrix3Xd& points_mm, double per_mm3,
                                            double apart_mm, double point_mm2 = 0.05) {
  std::vector<Index> all(static_cast<std::size_t>(points_mm.cols()));
  for (std::size_t i = 0; i < all.size(); ++i)
    all[i] = static_cast<Index>(i);
  std::vector<PointPatch> found = point_patches(points_mm, all, apart_mm, 5);
  const std::size_t before = found.size();
  drop_chance(found, points_mm, apart_mm, {per_mm3, all.size(), 4.0, point_mm2});
  return {before, found.size()};
}

// 0.01 strays a mm³ are a fifth of a coarse scan of a bracket; of 0.4 each reaches the next.
TEST(DropChance, StraysMakeNoPatchOnceInTwentyScans) {
  for (const double per_mm3 : {0.01, 0.05, 0.4}) {
    const double apart_mm = per_mm3 < 0.02 ? 2.3 : 1.0;
    std::size_t usual = 0, left = 0;
    for (unsigned seed = 0; seed < 30; ++seed) {
      const auto [before, after] = patches(strays(per_mm3, seed), per_mm3, apart_mm);
      usual += before;
      left += after;
    }
    EXPECT_GT(usual, 15U) << per_mm3;
    EXPECT_LE(left, 4U) << per_mm3;  // of a mean of 1.5, five or more are one in fifty
  }
}

// Eight points of the walls of a notch of 2 × 2 × 2 mm, in a scan of one point a mm² of which a
// fifth is strays: it passed when a patch had to have more points than strays join to by chance.
TEST(DropChance, AFewPointsOfASmallNotchAreNone) {
  std::size_t seen = 0;
  for (unsigned seed = 0; seed < 20; ++seed) {
    Eigen::Matrix3Xd points_mm = strays(0.011, seed);
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> even(0.0, 2.0);
    std::vector<Vector3d> walls;
    for (int i = 0; i < 8; ++i)
      walls.emplace_back(30 + (i % 2) * 2.0, 20 + even(random), 10 + even(random));
    add(walls, points_mm);
    seen += patches(points_mm, 0.011, 2.3, 0.9).second >= 1 ? 1U : 0U;
  }
  EXPECT_EQ(seen, 20U);
}

TEST(DropChance, SurfaceAmongThickStraysIsLeft) {
  // 4 mm² of a wall, twelve points a mm², as it is left of a scan of sixty.
  Eigen::Matrix3Xd points_mm = strays(0.4, 1);
  std::vector<Vector3d> wall;
  for (int i = 0; i < 49; ++i)
    wall.emplace_back(30, 20 + 0.29 * (i % 7), 10 + 0.29 * (i / 7));
  add(wall, points_mm);
  EXPECT_GE(patches(points_mm, 0.4, 1.0).second, 1U);
}

TEST(DropChance, WithoutStraysNothingIs) {
  EXPECT_EQ(patches(strays(0.05, 3), 0.0, 1.0).second, patches(strays(0.05, 3), 0.0, 1.0).first);
}

TEST(MayHide, WhereABarePlaceIsFilledAndWhatIsLeftIsTooLittle) {
  // A fifth of strays, one point a mm²: 4 mm² have four points, and five make a patch.
  EXPECT_TRUE(may_hide({0.003, 70, 4.0, 0.9}, 2.1, 5));
  EXPECT_TRUE(may_hide({0.0013, 83, 4.0, 0.79}, 1.7, 5));  // a tenth, five points
  EXPECT_FALSE(may_hide({0.003, 70, 4.0, 0.3}, 2.1, 5));   // thirteen
  EXPECT_FALSE(may_hide({0.0003, 7, 4.0, 0.9}, 2.1, 5));   // nothing fills it
  EXPECT_FALSE(may_hide({0.0, 0, 4.0, 0.9}, 2.1, 5));
  EXPECT_FALSE(may_hide({0.3, 26'000, 4.0, 0.09}, 1.1, 5));  // 44 points stand out
  EXPECT_TRUE(may_hide({3.0, 26'000, 4.0, 0.09}, 1.1, 5));
}

struct Strewn {
  SurfaceIndex design{test::box({0, 0, 0}, {60, 40, 20})};
  Eigen::Matrix3Xd points_mm, normals;
  Deviations deviations;
  std::vector<std::uint8_t> inside;
  Plan plan;

  void add(const Vector3d& p, Reading reading) {
    const Index i = points_mm.cols();
    points_mm.conservativeResize(3, i + 1);
    points_mm.col(i) = p;
    deviations.reading.push_back(reading);
    deviations.signed_mm.conservativeResize(i + 1);
    deviations.signed_mm[i] = p.z() - 20.0;
    inside.push_back(reading == Reading::Inside ? 1 : 0);
  }
  [[nodiscard]] double density() {
    deviations.reach_mm = 5.0;
    normals = Vector3d::UnitZ().replicate(1, points_mm.cols());
    return strays_per_mm3({points_mm, normals, deviations, 0.03, 0.4, plan, 0.06, 0.5}, design,
                          inside);
  }
};

TEST(StraysPerMm3, IsTheLesserOfThoseInTheMaterialAndOffIt) {
  Strewn f;
  for (int i = 0; i < 480; ++i)
    f.add(Vector3d(0.1 * i + 5, 20, 10), Reading::Inside);
  EXPECT_EQ(f.density(), 0.0);  // a cut, perhaps: nothing says that there are strays
  // The first millimetre above the limits, over 8,800 mm² of faces.
  for (int i = 0; i < 88; ++i)
    f.add(Vector3d(0.5 * i + 5, 20, 21), i % 2 == 0 ? Reading::Stray : Reading::Measured);
  EXPECT_NEAR(f.density(), 88.0 / 8800.0, 1e-9);
  for (int i = 0; i < 200; ++i)
    f.add(Vector3d(0.2 * i + 5, 20, i % 2 == 0 ? 20.4 : 22.5), Reading::Stray);  // in it, and above
  EXPECT_NEAR(f.density(), 88.0 / 8800.0, 1e-9);
  for (int i = 0; i < 5700; ++i)
    f.add(Vector3d(0.01 * i, 20, -1), Reading::Stray);
  EXPECT_NEAR(f.density(), 480.0 / 48000.0, 1e-9);
}

TEST(StraysPerMm3, ADesignWithOpenEdgesHasNoInside) {
  Strewn f;
  Mesh open = test::box({0, 0, 0}, {60, 40, 20});
  open.triangles.conservativeResize(3, open.triangles.cols() - 1);
  f.design = SurfaceIndex(open);
  f.add(Vector3d(5, 20, 10), Reading::Inside);
  f.add(Vector3d(5, 20, 23), Reading::TooFar);
  EXPECT_EQ(f.density(), 0.0);
}

}  // namespace
}  // namespace trammel
