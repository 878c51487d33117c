#include "trammel/judge/slits.hpp"

#include <gtest/gtest.h>

#include <random>

#include "judge/cell_fixture.hpp"
#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A plate of 80 × 60 × 1.5 mm, 2 scan points a mm² on either face, and what else is added.
struct SlitPlate {
  test::CellFixture f{[](const Vector3d&, const Vector3d&) { return 0.0; },
                      test::box({0, 0, 0}, {80, 60, 1.5})};
  std::mt19937 random{7};
  std::vector<Vector3d> points, normals;
  std::vector<std::uint8_t> across;  ///< of the points, 1
  double bare_from = 0.0, bare_to = 0.0;

  double even(double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  }
  /// Both faces, but for a strip of the given width about y = 30 and x = 25 … 50.
  void faces(double bare_mm) {
    for (int i = 0; i < 2 * 2 * 80 * 60; ++i) {
      const Vector3d p(even(0, 80), even(0, 60), i % 2 == 0 ? 0.0 : 1.5);
      if (p.x() > 25 && p.x() < 50 && std::abs(p.y() - 30) < 0.5 * bare_mm) continue;
      points.push_back(p);
    }
  }
  /// So many points on the walls of a slit, of all depths.
  void walls(int count, double wide_mm) {
    for (int i = 0; i < count; ++i)
      points.emplace_back(even(25, 50), 30 + (i % 2 == 0 ? 0.5 : -0.5) * wide_mm, even(0.05, 1.45));
  }
  void strays(int count) {
    for (int i = 0; i < count; ++i)
      points.emplace_back(even(0, 80), even(0, 60), even(0.0, 1.5));
  }
  [[nodiscard]] std::vector<Slit> found() {
    Eigen::Matrix3Xd at(3, static_cast<Index>(points.size())), up = at;
    Deviations deviations;
    deviations.reach_mm = 5.0;
    deviations.signed_mm.setConstant(at.cols(), test::kUnseen);
    deviations.reading.assign(points.size(), Reading::Stray);
    for (std::size_t i = 0; i < points.size(); ++i)
      at.col(static_cast<Index>(i)) = points[i];
    up.colwise() = Vector3d::UnitZ();
    const PlacedScan scan{at, up, deviations, 0.015, 0.4, f.plan, 0.03, 0.5};
    return slits({scan, f.index, f.tree.cells(), across});
  }
};

TEST(Slits, ThatIsNarrowerThanTheSpacingIsFoundByThePointsOnItsWalls) {
  for (const double wide_mm : {0.3, 0.6}) {
    SlitPlate plate;
    plate.faces(wide_mm);
    plate.walls(16, wide_mm);
    const auto found = plate.found();
    ASSERT_EQ(found.size(), 1U) << wide_mm;
    EXPECT_GE(found[0].points, 8);
    EXPECT_GT(found[0].deepest_mm, 0.53);
    EXPECT_NEAR(found[0].from_mm.y(), 30.0, 0.35);
    EXPECT_GT((found[0].to_mm - found[0].from_mm).norm(), 8.0);
    EXPECT_NE(why_slits(found)[0].find("A crack or slit may run from"), std::string::npos);
  }
}

TEST(Slits, IsFoundAmongStraysOfTwelvePercent) {
  SlitPlate plate;
  plate.faces(0.5);
  plate.walls(16, 0.5);
  plate.strays(30);
  EXPECT_FALSE(plate.found().empty());
}

TEST(Slits, StraysInTheMaterialAreNone) {
  for (const int count : {10, 100, 400}) {
    SlitPlate plate;
    plate.random.seed(static_cast<unsigned>(count));
    plate.faces(0.0);
    plate.strays(count);
    EXPECT_TRUE(plate.found().empty()) << count;
  }
}

// A face that lies low by less than its band, along a line.
TEST(Slits, ScratchWithinTheBandIsNone) {
  SlitPlate plate;
  plate.faces(0.0);
  for (int i = 0; i < 40; ++i)
    plate.points.emplace_back(25 + 0.6 * i, 30.0, 1.5 - 0.4);
  plate.strays(10);
  EXPECT_TRUE(plate.found().empty());
}

// The end of the plate, short by less than the band, and two strays in the same plane.
TEST(Slits, EndWithinTheBandIsNone) {
  SlitPlate plate;
  plate.faces(0.0);
  for (int i = 0; i < 60; ++i)
    plate.points.emplace_back(79.6, 10 + 0.7 * i, plate.even(0.15, 1.35));
  plate.points.emplace_back(79.4, 20.0, 0.75);
  plate.points.emplace_back(79.35, 40.0, 0.75);
  EXPECT_TRUE(plate.found().empty());
}

// A hole's wall off its place by less than the band, which a line between two strays touches.
TEST(Slits, WallOfAHoleWithinTheBandIsNone) {
  SlitPlate plate;
  plate.faces(0.0);
  for (int i = 0; i < 18; ++i)
    plate.points.emplace_back(plate.even(38, 41), plate.even(29.8, 30.2), plate.even(0.15, 0.45));
  plate.points.emplace_back(25.0, 30.0, 0.75);
  plate.points.emplace_back(54.0, 30.0, 0.75);
  EXPECT_TRUE(plate.found().empty());
}

}  // namespace
}  // namespace trammel
