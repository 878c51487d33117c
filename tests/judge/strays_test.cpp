#include "trammel/judge/strays.hpp"

#include <gtest/gtest.h>

#include <random>

#include "support/shapes.hpp"
#include "trammel/judge/point_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr PatchRule kUsual{1.0, 5};

/// So many points a mm³, anywhere in a block of 60 × 40 × 20 mm.
Eigen::Matrix3Xd strays(double per_mm3, unsigned seed) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> even(0.0, 1.0);
  Eigen::Matrix3Xd out(3, static_cast<Index>(per_mm3 * 60 * 40 * 20));
  for (Index i = 0; i < out.cols(); ++i)
    out.col(i) = Vector3d(60 * even(random), 40 * even(random), 20 * even(random));
  return out;
}

std::size_t patches(const Eigen::Matrix3Xd& points_mm, const PatchRule& rule) {
  std::vector<Index> all(static_cast<std::size_t>(points_mm.cols()));
  for (std::size_t i = 0; i < all.size(); ++i)
    all[i] = static_cast<Index>(i);
  return point_patches(points_mm, all, rule.apart_mm, rule.fewest).size();
}

TEST(PatchRule, IsTheUsualOneWhereThereAreNoStrays) {
  const PatchRule rule = patch_rule(0.0, 100, kUsual, 0.5);
  EXPECT_EQ(rule.fewest, 5);
  EXPECT_EQ(rule.apart_mm, 1.0);
  EXPECT_EQ(patch_rule(1e-4, 5, kUsual, 0.5).fewest, 5);
}

// 0.05 strays a mm³ are 3.6 % of a scan of 60 points a mm² of such a block, 0.4 some 30 %.
TEST(PatchRule, StraysMakeNoPatchOnceInAHundredScans) {
  for (const double per_mm3 : {0.05, 0.4}) {
    std::size_t by_rule = 0, as_usual = 0;
    for (unsigned seed = 0; seed < 40; ++seed) {
      const Eigen::Matrix3Xd points_mm = strays(per_mm3, seed);
      const auto count = static_cast<std::size_t>(points_mm.cols());
      by_rule += patches(points_mm, patch_rule(per_mm3, count, kUsual, 0.3));
      as_usual += patches(points_mm, kUsual);
    }
    EXPECT_LE(by_rule, 1U) << per_mm3;
    EXPECT_GT(as_usual, 20U) << per_mm3;
  }
}

TEST(PatchRule, SurfaceAmongStraysIsAPatch) {
  // 4 mm² of a wall, twelve points a mm², as it is left of a scan of sixty.
  Eigen::Matrix3Xd points_mm = strays(0.4, 1);
  const Index before = points_mm.cols();
  points_mm.conservativeResize(3, before + 49);
  for (int i = 0; i < 49; ++i)
    points_mm.col(before + i) = Vector3d(30, 20 + 0.29 * (i % 7), 10 + 0.29 * (i / 7));
  const PatchRule rule = patch_rule(0.4, static_cast<std::size_t>(points_mm.cols()), kUsual, 0.5);
  EXPECT_GE(patches(points_mm, rule), 1U);
}

// Borel's distribution: e^(-mn) (mn)^(n-1) / n!, of mean 1 / (1 − m). In 48,000 mm³ a thousand
// strays reach 0.087 others each in 1 mm, so that 1000 / n · P(n) sums to 0.045 from n = 5 and to
// 0.0063 from n = 6 (worked out apart, with Python).
TEST(PatchRule, AgreesWithBorelsDistribution) {
  EXPECT_EQ(patch_rule(1000.0 / 48000.0, 1000, kUsual, 1.0).fewest, 6);
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
    return strays_per_mm3({points_mm, normals, deviations, 0.03, 0.4, plan, 0.06}, design, inside);
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
