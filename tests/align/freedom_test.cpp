#include "trammel/align/freedom.hpp"

#include <gtest/gtest.h>

#include <Eigen/Eigenvalues>
#include <cmath>
#include <functional>

#include "support/shapes.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Vector6d = Eigen::Matrix<double, 6, 1>;

std::vector<Correspondence> noisy_points(const Mesh& mesh, std::size_t count, double noise_mm,
                                         Rng rng) {
  const auto samples = sample_surface(mesh, count, rng.stream("s"));
  Rng noise = rng.stream("n");
  std::vector<Correspondence> points(count);
  for (std::size_t i = 0; i < count; ++i) {
    const auto at = static_cast<Eigen::Index>(i);
    points[i].facing = true;
    points[i].normal = samples.normals.col(at);
    points[i].residual_mm = noise_mm * noise.normal();
    points[i].p_design = samples.points_mm.col(at) + points[i].residual_mm * points[i].normal;
  }
  return points;
}

/// Points of the upper face of a plate alone.
std::vector<Correspondence> one_face(std::size_t count, double noise_mm, Rng rng) {
  Rng noise = rng.stream("n");
  std::vector<Correspondence> points(count);
  for (Correspondence& c : points) {
    c.facing = true;
    c.normal = Eigen::Vector3d::UnitZ();
    c.residual_mm = noise_mm * noise.normal();
    c.p_design = Eigen::Vector3d(noise.uniform(0, 100), noise.uniform(0, 100), c.residual_mm);
  }
  return points;
}

TEST(Freedom, HoldsAPlateAsTheClosedFormSays) {
  // Square plate, L = 100, n = 1000, σ = 0.05: σ(tz) = σ/√n = 0.00158 mm and
  // σ(rx) = σ/(√n·L/√12) = 5.48e-5 rad (reference rules, registration: ICP covariance).
  const Box box{{0, 0, -1}, {100, 100, 1}};
  double tz = 0.0, rx = 0.0;
  constexpr int kTrials = 10;
  for (std::uint64_t seed = 0; seed < kTrials; ++seed) {
    const Freedom freedom = freedom_of(one_face(1000, 0.05, Rng(seed)), 0.05, box);
    tz += std::sqrt(1.0 / freedom.information(5, 5)) / kTrials;
    rx += std::sqrt(1.0 / freedom.information(0, 0)) / kTrials;
  }
  // Tukey's estimator is 95 % as efficient: standard errors are 1/√0.95 = 1.026 of least squares.
  // The scatter of 1,000 residuals is known to 1/√2000 = 2.2 %, over ten trials 0.7 %; the spread
  // of random places adds as much to rx.
  EXPECT_NEAR(tz, 1.026 * 0.00158, 0.03 * 0.00158);
  EXPECT_NEAR(rx, 1.026 * 5.48e-5, 0.04 * 5.48e-5);
}

TEST(Freedom, CountsWhatUnevenWeightsCost) {
  // Weights of 4 and of 1/2, half of the points each: a weighted mean has the variance
  // σ² Σ b² / (Σ b)², which is mean(b²) / mean(b)² = 8.125 / 5.0625 = 1.605 times σ²/n.
  const Box box{{0, 0, -1}, {100, 100, 1}};
  auto points = one_face(20000, 0.05, Rng(6));
  for (std::size_t i = 0; i < points.size(); ++i)
    points[i].balance = i % 2 == 0 ? 4.0 : 0.5;
  const Freedom freedom = freedom_of(points, 0.05, box);
  // σ of 20,000 residuals is known to 0.5 %, Tukey's estimator costs 5 %.
  EXPECT_NEAR(1.0 / freedom.information(5, 5), 1.605 * 1.05 * 0.05 * 0.05 / 20000,
              0.03 * 1.605 * 0.05 * 0.05 / 20000);
  EXPECT_GE(freedom.covariance(5, 5) * (1.0 + 1e-9), 1.0 / freedom.information(5, 5));
}

TEST(Freedom, FindsTheThreeFreeMotionsOfAPlane) {
  const Box box{{0, 0, -1}, {100, 100, 1}};
  const Freedom freedom = freedom_of(one_face(2000, 0.03, Rng(1)), 0.03, box);
  ASSERT_EQ(freedom.free_directions.size(), 3U);  // two slides, one turn [Gelfand & Guibas 2004]
  int turns = 0;
  for (const std::string& words : freedom.free_directions)
    if (words.find("turning about z") == 0) ++turns;
  EXPECT_EQ(turns, 1);
  EXPECT_GT(freedom.standard_error_mm, 1.0);
  // What is left, a height and two tilts, is held by 2,000 points of 0.03 mm: 0.0007 mm in the
  // middle, and at a corner, 50 mm off along both sides of a square of 100 mm, √7 times that.
  EXPECT_LT(freedom.held_error_mm, 2.0 * std::sqrt(7.0) * 0.03 / std::sqrt(2000.0));
  EXPECT_GT(freedom.held_error_mm, 0.5 * std::sqrt(7.0) * 0.03 / std::sqrt(2000.0));
}

TEST(Freedom, FindsTheTwoFreeMotionsOfACylinderWithoutItsEnds) {
  std::vector<Correspondence> points;
  for (const Correspondence& c : noisy_points(test::cylinder(20, 60, 360), 6000, 0.03, Rng(2)))
    if (std::abs(c.normal.z()) < 0.5) points.push_back(c);
  const Box box{{-20, -20, -30}, {20, 20, 30}};
  const Freedom freedom = freedom_of(points, 0.03, box);
  ASSERT_EQ(freedom.free_directions.size(), 2U);
  EXPECT_NE(freedom.free_directions[0].find(" z,"), std::string::npos);
  EXPECT_NE(freedom.free_directions[1].find(" z,"), std::string::npos);
}

TEST(Freedom, OfALongRailHoldsTheTurnAboutItsLength) {
  // Two legs of 25 mm hold it at any length: 1,500 mm long, its other two turns have levers forty
  // times as long, and a good rail was called free to turn, held to ±0.00 mm.
  for (const double length_mm : {100.0, 600.0, 1500.0, 4000.0}) {
    const Mesh rail =
        test::extrude({{{0, 0}, {25, 0}, {25, 3}, {3, 3}, {3, 25}, {0, 25}}}, length_mm);
    const Freedom freedom =
        freedom_of(noisy_points(rail, 20000, 0.03, Rng(8)), 0.03, bounding_box(rail.vertices_mm));
    EXPECT_TRUE(freedom.free_directions.empty()) << length_mm << freedom.free_directions.front();
    EXPECT_LT(freedom.standard_error_mm, 0.02) << length_mm;
  }
}

TEST(Freedom, OfALongTubeIsFreeToTurnAlone) {
  for (const double length_mm : {60.0, 600.0, 3000.0}) {
    const Mesh tube = test::cylinder(12, length_mm, 720);
    const Freedom freedom =
        freedom_of(noisy_points(tube, 20000, 0.03, Rng(9)), 0.03, bounding_box(tube.vertices_mm));
    // Its ends are 1 in 500 of its points at most lengths: the slide is held by little too.
    ASSERT_FALSE(freedom.free_directions.empty()) << length_mm;
    EXPECT_EQ(freedom.free_directions.front().find("turning about z"), 0U) << length_mm;
  }
}

TEST(Freedom, OfARoundDesignLeavesTheTurnOut) {
  const Mesh tube = test::cylinder(12, 60, 720);
  const RoundAxis round{Eigen::Vector3d::Zero(), Eigen::Vector3d::UnitZ(), 0.0};
  const auto points = noisy_points(tube, 6000, 0.03, Rng(10));
  const Box box = bounding_box(tube.vertices_mm);
  const Freedom with = freedom_of(points, 0.03, box, round);
  EXPECT_TRUE(with.free_directions.empty());
  EXPECT_LT(with.standard_error_mm, 0.01);
  EXPECT_GT(freedom_of(points, 0.03, box).standard_error_mm, 0.05);
  // What is held is held as well as it was.
  const Eigen::Vector3d along = with.covariance.diagonal().tail<3>();
  const Eigen::Vector3d before = freedom_of(points, 0.03, box).covariance.diagonal().tail<3>();
  EXPECT_NEAR(along.z(), before.z(), 1e-3 * before.z());
}

TEST(Freedom, FindsNoneInABlock) {
  const Mesh block = test::box({0, 0, 0}, {40, 30, 20});
  const Freedom freedom =
      freedom_of(noisy_points(block, 4000, 0.03, Rng(3)), 0.03, bounding_box(block.vertices_mm));
  EXPECT_TRUE(freedom.free_directions.empty());
  EXPECT_LT(freedom.standard_error_mm, 0.01);
}

TEST(Freedom, DoesNotBelieveThatFormErrorsAverageOut) {
  const Mesh block = test::box({0, 0, 0}, {40, 30, 20});
  const Box box = bounding_box(block.vertices_mm);
  auto points = noisy_points(block, 20000, 0.01, Rng(4));
  const double fine = freedom_of(points, 0.03, box).standard_error_mm;
  for (Correspondence& c : points)  // waves of 10 mm and 0.05 mm: shared by neighbours
    c.residual_mm += 0.05 * std::sin(c.p_design.x() * 0.6) * std::cos(c.p_design.y() * 0.5);
  const double wavy = freedom_of(points, 0.06, box).standard_error_mm;
  // Were the errors independent, it would grow like the scatter: from 0.01 to about 0.03.
  EXPECT_GT(wavy, 5.0 * fine);
}

TEST(Freedom, EstimatesTheScaleOfAShrunkPart) {
  const Mesh part = test::housing();
  const Box box = bounding_box(part.vertices_mm);
  for (const double scale : {1.0, 0.997, 1.002}) {
    auto points = noisy_points(part, 20000, 0.03, Rng(5));
    for (Correspondence& c : points) {
      const Eigen::Vector3d shrunk = (scale - 1.0) * (c.p_design - box.center_mm());
      c.p_design += shrunk;
      c.residual_mm += c.normal.dot(shrunk);
    }
    const double sigma = inlier_sigma_mm(points, 0.5, 0.01);
    const Freedom freedom = freedom_of(points, sigma, box);
    EXPECT_GT(freedom.scale.standard_error, 0.0);
    // 1 σ about 0.03 mm/√20000 over a mean arm of 40 mm: 5e-6; 1e-4 is far finer than any print.
    EXPECT_NEAR(freedom.scale.uniform, scale, 1e-4);
  }
}

TEST(Freedom, EstimatesTheScaleAlongEachAxis) {
  const Mesh part = test::housing();
  const Box box = bounding_box(part.vertices_mm);
  const Eigen::Vector3d scale(0.997, 1.0, 1.004);
  auto points = noisy_points(part, 20000, 0.03, Rng(5));
  for (Correspondence& c : points) {
    const Eigen::Vector3d grown =
        (scale.array() - 1.0).matrix().cwiseProduct(c.p_design - box.center_mm());
    c.p_design += grown;
    c.residual_mm += c.normal.dot(grown);
  }
  const ScaleEstimate found = freedom_of(points, inlier_sigma_mm(points, 0.5, 0.01), box).scale;
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    EXPECT_GT(found.axes_standard_error[axis], 0.0);
    EXPECT_NEAR(found.axes[axis], scale[axis], 2e-4);
  }
}

TEST(Freedom, SaysNoScaleAlongAnAxisThatNothingHolds) {
  // A plane's points tell nothing of growth in it.
  std::vector<Correspondence> points;
  for (const Correspondence& c :
       noisy_points(test::box({0, 0, 0}, {60, 60, 60}), 12000, 0.03, Rng(6)))
    if (std::abs(c.normal.x()) < 0.5) points.push_back(c);
  const ScaleEstimate found = freedom_of(points, 0.03, Box{{0, 0, 0}, {60, 60, 60}}).scale;
  EXPECT_DOUBLE_EQ(found.axes_standard_error.x(), 0.0);
  EXPECT_GT(found.axes_standard_error.y(), 0.0);
  EXPECT_GT(found.axes_standard_error.z(), 0.0);
}

TEST(Freedom, SaysSoWhenTooFewPointsLieOnTheDesign) {
  const Box box{{0, 0, 0}, {10, 10, 10}};
  const Freedom freedom = freedom_of({}, 0.03, box);
  EXPECT_EQ(freedom.free_directions.size(), 1U);
  EXPECT_NEAR(freedom.standard_error_mm, box.diagonal_mm(), 1e-12);
}

}  // namespace
}  // namespace trammel
