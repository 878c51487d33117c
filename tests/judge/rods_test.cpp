#include "trammel/judge/rods.hpp"

#include <gtest/gtest.h>

#include <random>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A plate of 60 × 40 × 5 mm, and what was scanned off it.
struct OffPart {
  SurfaceIndex design{test::box({0, 0, 0}, {60, 40, 5})};
  std::mt19937 random{3};
  std::vector<Vector3d> points;

  double even(double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  }
  /// Of 0.8 mm, so many points on it.
  void rod(const Vector3d& from, const Vector3d& to, int count) {
    for (int i = 0; i < count; ++i) {
      const double turn = even(0.0, 6.28);
      points.push_back(from + even(0.0, 1.0) * (to - from) +
                       0.4 * Vector3d(std::cos(turn), std::sin(turn), 0.0));
    }
  }
  [[nodiscard]] std::vector<Rod> found() const {
    Eigen::Matrix3Xd at(3, static_cast<Index>(points.size()));
    Deviations deviations;
    deviations.reach_mm = 8.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      at.col(static_cast<Index>(i)) = points[i];
      const bool near = design.nearest(points[i], deviations.reach_mm).found();
      deviations.reading.push_back(near ? Reading::Stray : Reading::TooFar);
    }
    const Plan plan;
    return rods({plan, design, deviations, at, 0.03, 0.37, 0.5, 0.0});
  }
};

TEST(Rods, ThinRodOnAFaceIsFound) {
  OffPart part;
  part.rod({30, 20, 5}, {34, 20, 40}, 80);
  const auto found = part.found();
  ASSERT_EQ(found.size(), 1U);
  EXPECT_NEAR(found[0].foot_mm.x(), 30.2, 0.8);
  EXPECT_NEAR(found[0].foot_mm.z(), 5.0, 1e-9);
  EXPECT_GT(found[0].long_mm, 7.0);
  EXPECT_NE(why_rods(found)[0].find("rises from the part near"), std::string::npos);
}

TEST(Rods, WhatHangsClearOfThePartIsNone) {
  OffPart part;
  part.rod({30, 20, 10}, {34, 20, 40}, 80);
  EXPECT_TRUE(part.found().empty());
}

TEST(Rods, BenchAndStraysAreNone) {
  OffPart part;
  for (int i = 0; i < 8000; ++i) {
    const Vector3d p(part.even(-20, 80), part.even(-20, 60), 0.0);
    if (p.x() < 0 || p.x() > 60 || p.y() < 0 || p.y() > 40) part.points.push_back(p);
  }
  for (int i = 0; i < 3000; ++i)
    part.points.emplace_back(part.even(-20, 80), part.even(-20, 60), part.even(5.5, 30));
  EXPECT_TRUE(part.found().empty());
}

// A scanner draws the rim out into the air.
TEST(Rods, StreakFromAnEdgeIsNone) {
  OffPart part;
  part.rod({30, 0.0, 5}, {34, -3, 40}, 80);
  EXPECT_TRUE(part.found().empty());
}

}  // namespace
}  // namespace trammel
