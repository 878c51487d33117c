#include "trammel/judge/grips.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A plate of 60 × 40 × 5 mm, scanned on both faces every 0.5 mm at the heights given.
struct Plate {
  SurfaceIndex design{test::box({0, 0, 0}, {60, 40, 5})};
  Eigen::Matrix3Xd points_mm{3, 0}, normals{3, 0};
  Deviations deviations;
  Index count = 0;  ///< of points; there is room for more until they are `found`

  template <typename Height>
  Plate(const Height& above_mm, const Height& below_mm) {
    for (double x = 0.25; x < 60; x += 0.5) {
      for (double y = 0.25; y < 40; y += 0.5) {
        add({x, y, 5}, above_mm(x, y), Vector3d::UnitZ());
        add({x, y, 0}, below_mm(x, y), -Vector3d::UnitZ());
      }
    }
  }
  void resize(Index size) {
    points_mm.conservativeResize(3, size);
    normals.conservativeResize(3, size);
    deviations.foot_mm.conservativeResize(3, size);
    deviations.signed_mm.conservativeResize(size);
    deviations.triangle.conservativeResize(size);
  }
  void add(const Vector3d& foot, double height_mm, const Vector3d& normal) {
    if (count == points_mm.cols()) resize(2 * count + 1);
    const Index at = count++;
    deviations.foot_mm.col(at) = foot;
    points_mm.col(at) = foot + height_mm * normal;
    normals.col(at) = normal;
    deviations.signed_mm[at] = height_mm;
    deviations.triangle[at] = design.nearest_facing(foot, normal, 0.9).triangle;
    deviations.reading.push_back(Reading::Measured);
  }
  std::vector<Grip> found() {
    resize(count);
    // As if it had been scanned elsewhere; all else is in the design's frame.
    const Eigen::Isometry3d T_design_scan(Eigen::Translation3d(3, -8, 20) *
                                          Eigen::AngleAxisd(0.7, Vector3d::UnitX()));
    return set_aside_grips(T_design_scan.inverse() * points_mm, T_design_scan, normals, design, 0.5,
                           deviations);
  }
};

/// `height_mm` within 6 mm of (x, y) along both axes, in its place elsewhere.
auto jaw(double x, double y, double height_mm) {
  return [=](double at_x, double at_y) {
    return std::abs(at_x - x) < 6 && std::abs(at_y - y) < 6 ? height_mm : 0.01;
  };
}

TEST(Grips, JawsAcrossFromEachOtherAreSetAside) {
  Plate plate(jaw(20, 15, 6.0), jaw(20, 15, 4.0));
  const std::vector<Grip> grips = plate.found();
  ASSERT_EQ(grips.size(), 1U);
  EXPECT_NEAR(grips[0].height_mm, 6.0, 1e-9);
  EXPECT_NEAR(grips[0].center_mm.x(), 20.0, 1.0);
  EXPECT_NEAR(grips[0].center_mm.y(), 15.0, 1.0);
  EXPECT_EQ(count_of(plate.deviations, Reading::Beside), 2U * 24 * 24);
  EXPECT_TRUE(is_of_a_grip({28, 15, 5}, grips));
  EXPECT_FALSE(is_of_a_grip({50, 15, 5}, grips));
}

TEST(Grips, WhatStandsBesideThemIsOfThem) {
  Plate plate(jaw(20, 15, 6.0), jaw(20, 15, 4.0));
  plate.add({60, 20, 2}, 5.0, Vector3d::UnitX());  // 34 mm away
  plate.add({20, 0, 2}, 2.0, -Vector3d::UnitY());  // 9 mm away from the jaws
  plate.add({20, 0, 2}, 0.5, -Vector3d::UnitY());
  Plate nearer(jaw(20, 12, 6.0), jaw(20, 12, 4.0));
  nearer.add({20, 0, 2}, 2.0, -Vector3d::UnitY());  // 6 mm away
  nearer.add({20, 0, 2}, 0.5, -Vector3d::UnitY());
  Plate taller(jaw(20, 15, 6.0), jaw(20, 15, 4.0));
  taller.add({20, 0, 2}, 4.0, -Vector3d::UnitY());  // 9 mm away, and as tall as a jaw
  ASSERT_EQ(plate.found().size(), 1U);
  ASSERT_EQ(nearer.found().size(), 1U);
  ASSERT_EQ(taller.found().size(), 1U);
  EXPECT_EQ(count_of(taller.deviations, Reading::Beside), 2U * 24 * 24 + 1);
  EXPECT_EQ(count_of(plate.deviations, Reading::Beside), 2U * 24 * 24);
  EXPECT_EQ(count_of(nearer.deviations, Reading::Beside), 2U * 24 * 24 + 1);
}

TEST(Grips, FaultsOfThePartAreNone) {
  const auto in_place = jaw(20, 15, 0.01);
  // A lump on one face alone; lumps that lie apart; low ones; a plate that is too thick all over; a
  // dent that is a bulge on the other face.
  EXPECT_TRUE(Plate(jaw(20, 15, 6.0), in_place).found().empty());
  EXPECT_TRUE(Plate(jaw(20, 15, 6.0), jaw(40, 25, 6.0)).found().empty());
  EXPECT_TRUE(Plate(jaw(20, 15, 2.5), jaw(20, 15, 2.5)).found().empty());
  const auto thick = [](double, double) { return 4.0; };
  EXPECT_TRUE(Plate(thick, thick).found().empty());
  EXPECT_TRUE(Plate(jaw(20, 15, -4.0), jaw(20, 15, 4.0)).found().empty());
}

TEST(Grips, WhatIsInferredIsNone) {
  // A web between two holes that were not drilled: each wall is covered by as far as the other face
  // reaches.
  Plate plate(jaw(20, 15, 6.0), jaw(20, 15, 6.0));
  plate.deviations.inferred.assign(plate.deviations.reading.size(), 1);
  EXPECT_TRUE(plate.found().empty());
}

TEST(Grips, BenchUnderAnArchIsNone) {
  Plate plate(jaw(20, 15, 6.0), jaw(20, 15, 6.0));
  for (Index i = 0; i < plate.points_mm.cols(); ++i) {
    if (plate.deviations.signed_mm[i] < 3.0 || plate.normals(2, i) > 0.0) continue;
    plate.deviations.reading[static_cast<std::size_t>(i)] = Reading::Beside;
    plate.normals.col(i) = Vector3d::UnitZ();
  }
  EXPECT_TRUE(plate.found().empty());
}

}  // namespace
}  // namespace trammel
