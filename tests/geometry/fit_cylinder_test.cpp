#include "trammel/geometry/fit_cylinder.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector3d;
using Eigen::VectorXd;

VectorXd ones(const Matrix3Xd& points) {
  return VectorXd::Ones(points.cols());
}

/// The six points of Gander, Golub & Strebel, "Least-squares fitting of circles and ellipses",
/// BIT 34 (1994) 558–578, in the plane z = 0.
Matrix3Xd gander_golub_strebel_points() {
  Matrix3Xd points = Matrix3Xd::Zero(3, 6);
  points.topRows<2>() << 1, 2, 5, 7, 9, 3, 7, 6, 8, 7, 5, 7;
  return points;
}

/// Rings of points about the axis through (1, −2, 3) along (1, 2, 2)/3, as in the exact cylinder
/// whose eight angles are those of 3-4-5 triangles.
Matrix3Xd rings_on_skew_axis(double radius, const std::vector<double>& depths) {
  const double cosines[] = {1, .6, 0, -.8, -1, -.6, 0, .8};
  const double sines[] = {0, .8, 1, .6, 0, -.8, -1, -.6};
  const Vector3d d = Vector3d(1, 2, 2) / 3, e1 = Vector3d(2, 1, -2) / 3,
                 e2 = Vector3d(-2, 2, -1) / 3;
  Matrix3Xd points(3, static_cast<Eigen::Index>(8 * depths.size()));
  Eigen::Index column = 0;
  for (const double depth : depths) {
    for (std::size_t k = 0; k < 8; ++k) {
      points.col(column++) =
          Vector3d(1, -2, 3) + radius * (cosines[k] * e1 + sines[k] * e2) + depth * d;
    }
  }
  return points;
}

// Published: centre (4.7398, 2.9835), radius 4.7142 (Gander, Golub & Strebel 1994); the further
// digits were computed from the same points with 30-digit arithmetic.
TEST(FitCylinder, GivesThePublishedGeometricCircle) {
  const Matrix3Xd points = gander_golub_strebel_points();
  const auto start = algebraic_circle(points, Vector3d::UnitZ());
  ASSERT_TRUE(start);
  const auto fit = fit_cylinder(points, ones(points), *start, AxisChoice::Held);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->cylinder.center_mm.x(), 4.7397824, 5e-8);
  EXPECT_NEAR(fit->cylinder.center_mm.y(), 2.9835327, 5e-8);
  EXPECT_NEAR(fit->cylinder.radius_mm, 4.7142260, 5e-8);
  double squares = 0.0;
  for (int i = 0; i < 6; ++i)
    squares += std::pow(distance_to(fit->cylinder, points.col(i)), 2);
  EXPECT_NEAR(squares, 1.2275991, 5e-8);
}

// Kåsa's circle through the same points, computed with 30-digit arithmetic: it is the start only.
TEST(AlgebraicCircle, GivesKasasCircle) {
  const auto circle = algebraic_circle(gander_golub_strebel_points(), Vector3d::UnitZ());
  ASSERT_TRUE(circle);
  EXPECT_NEAR(circle->center_mm.x(), 4.742331, 5e-7);
  EXPECT_NEAR(circle->center_mm.y(), 3.835123, 5e-7);
  EXPECT_NEAR(circle->radius_mm, 4.108762, 5e-7);
}

TEST(AlgebraicCircle, IsTheCircumcircleOfThreePoints) {
  // Chord 10, sagitta 1: R = c²/(8 s) + s/2 = 13, centre (5, −12).
  Matrix3Xd points(3, 3);
  points << 0, 5, 10, 0, 1, 0, 0, 0, 0;
  const auto circle = algebraic_circle(points, Vector3d::UnitZ());
  ASSERT_TRUE(circle);
  EXPECT_NEAR(circle->radius_mm, 13.0, 1e-12);
  EXPECT_LT((circle->center_mm - Vector3d(5, -12, 0)).norm(), 1e-12);
}

TEST(AlgebraicCircle, RefusesPointsOnALine) {
  Matrix3Xd points(3, 4);
  points << 0, 1, 2, 3, 0, 1, 2, 3, 0, 0, 0, 0;
  EXPECT_FALSE(algebraic_circle(points, Vector3d::UnitZ()));
}

TEST(FitCylinder, GivesAnExactCylinderFromATiltedStart) {
  const Matrix3Xd points = rings_on_skew_axis(5.0, {0.0, 9.0});
  const Vector3d axis = Vector3d(1, 2, 2) / 3;
  // 10° off, centre 1 mm off, radius 20 % off.
  const Cylinder start{Vector3d(2, -2, 3),
                       (axis + std::tan(kPi / 18) * axis.unitOrthogonal()).normalized(), 4.0};
  const auto fit = fit_cylinder(points, ones(points), start, AxisChoice::Free);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->cylinder.radius_mm, 5.0, 1e-9);
  EXPECT_LT(fit->cylinder.axis.cross(axis).norm(), 1e-9);
  EXPECT_LT((fit->cylinder.center_mm - (Vector3d(1, -2, 3) + 4.5 * axis)).norm(), 1e-9);
  EXPECT_LT(fit->rms_mm, 1e-9);
}

// Radius alternately 5.01 and 4.99 round two rings: by symmetry the least-squares radius is 5 and
// the axis stays.
TEST(FitCylinder, AveragesFormByLeastSquares) {
  Matrix3Xd points(3, 16);
  for (int i = 0; i < 16; ++i) {
    const double radius = i % 2 == 0 ? 5.01 : 4.99;
    const double angle = kPi / 4 * i;
    points.col(i) << radius * std::cos(angle), radius * std::sin(angle), i < 8 ? 0.0 : 12.0;
  }
  const auto fit = fit_cylinder(points, ones(points), {Vector3d(0.1, 0, 0), Vector3d::UnitZ(), 4.9},
                                AxisChoice::Free);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->cylinder.radius_mm, 5.0, 1e-9);
  EXPECT_LT(fit->cylinder.axis.cross(Vector3d::UnitZ()).norm(), 1e-9);
  EXPECT_LT(fit->cylinder.center_mm.head<2>().norm(), 1e-9);
}

// n points evenly round a circle with noise σ: σ(centre) = σ·√(2/n), σ(radius) = σ/√n (JᵀJ is
// diagonal, n/2, n/2, n). The noise estimate itself scatters by 1/√(2n) = 2.2 %; 10 % is 4.5 σ.
TEST(FitCylinder, StatesTheStandardErrorsOfTheClosedForm) {
  const int n = 1000;
  Rng rng(3);
  Matrix3Xd points(3, n);
  for (int i = 0; i < n; ++i) {
    const double angle = 2 * kPi * i / n, radius = 4.0 + 0.05 * rng.normal();
    points.col(i) << radius * std::cos(angle), radius * std::sin(angle), 0.0;
  }
  const auto fit = fit_cylinder(points, ones(points), {Vector3d::Zero(), Vector3d::UnitZ(), 4.0},
                                AxisChoice::Held);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->rms_mm / 0.05, 1.0, 0.1);
  EXPECT_NEAR(fit->center_error_mm / (0.05 * std::sqrt(2.0 / n)), 1.0, 0.1);
  EXPECT_NEAR(fit->radius_error_mm / (0.05 / std::sqrt(1.0 * n)), 1.0, 0.1);
}

TEST(FitCylinder, LeavesOutPointsOfWeightZero) {
  Matrix3Xd points = rings_on_skew_axis(5.0, {0.0, 9.0});
  VectorXd weights = ones(points);
  points.col(3) += Vector3d(2, 2, 2);
  weights[3] = 0.0;
  const auto fit = fit_cylinder(points, weights, {Vector3d(1, -2, 3), Vector3d(1, 2, 2) / 3, 5.0},
                                AxisChoice::Free);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->cylinder.radius_mm, 5.0, 1e-9);
}

TEST(FitCylinder, RefusesATiltThatOneRingLeavesFree) {
  // One flat ring tilts freely to first order: nothing holds the axis.
  const Matrix3Xd points = rings_on_skew_axis(5.0, {0.0});
  const Cylinder start{Vector3d(1, -2, 3), Vector3d(1, 2, 2) / 3, 5.0};
  EXPECT_FALSE(fit_cylinder(points, ones(points), start, AxisChoice::Free));
  EXPECT_TRUE(fit_cylinder(points, ones(points), start, AxisChoice::Held));
}

TEST(FitCylinder, RefusesTooFewPoints) {
  const Matrix3Xd points = rings_on_skew_axis(5.0, {0.0}).leftCols(2);
  EXPECT_FALSE(fit_cylinder(points, ones(points), {Vector3d::Zero(), Vector3d::UnitZ(), 5.0},
                            AxisChoice::Held));
}

}  // namespace
}  // namespace trammel
