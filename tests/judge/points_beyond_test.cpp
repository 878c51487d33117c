#include "trammel/judge/points_beyond.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/cell_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A good plate, on the upper face of which so many single points, so far apart along x, read
/// `height_mm`: their neighbours do not, so that no cell is out.
struct Spiked {
  test::CellFixture f{[](const Vector3d&, const Vector3d&) { return 0.0; }};
  Eigen::Matrix3Xd points_mm;

  Spiked(int count, double apart_mm, double height_mm) {
    const SurfaceCells& cells = f.tree.cells();
    points_mm.resize(3, f.readings.cell_of_point.size());
    for (Index i = 0; i < points_mm.cols(); ++i)
      points_mm.col(i) = cells.center_mm.col(f.readings.cell_of_point[i]);
    for (int k = 0; k < count; ++k) {
      const Vector3d place(5.0 + k * apart_mm, 20.0, 5.0);
      Index nearest = 0;
      (points_mm.colwise() - place).colwise().squaredNorm().minCoeff(&nearest);
      f.deviations.signed_mm[nearest] = height_mm;
      points_mm.col(nearest) = place + height_mm * Vector3d::UnitZ();
    }
  }
  [[nodiscard]] std::vector<PointPatch> found() const {
    UncertaintyBudget u;
    u.expanded_mm = 0.05;
    return points_beyond(
        {f.plan, f.index, f.tree.cells(), f.readings, f.deviations, points_mm, u, 0.4, 0.0});
  }
  /// So many more of a kind that carries no distance, 1 mm above the face beside the others.
  void add(int count, Reading kind) {
    const Index before = points_mm.cols();
    points_mm.conservativeResize(3, before + count);
    f.deviations.signed_mm.conservativeResize(before + count);
    f.readings.cell_of_point.conservativeResize(before + count);
    f.deviations.reach_mm = 5.0;
    for (int k = 0; k < count; ++k) {
      points_mm.col(before + k) = Vector3d(5.0 + 0.5 * k, 20.5, 6.0);
      f.deviations.signed_mm[before + k] = test::kUnseen;
      f.readings.cell_of_point[before + k] = -1;
      f.deviations.reading.push_back(kind);
    }
  }
};

TEST(PointsBeyond, ThatCoverTheLeastAreaTogetherAreOnePlaceProudOrShy) {
  for (const double height : {1.0, -1.0}) {
    Spiked burr(200, 0.25, height);
    burr.f.plan.least_area_mm2 = 2.0;
    const auto patches = burr.found();
    ASSERT_EQ(patches.size(), 1U);
    EXPECT_NEAR(patches[0].center_mm.y(), 20.0, 1e-9);
    EXPECT_NE(why_beyond(patches).at(0).find(std::to_string(patches[0].points) + " scan points"),
              std::string::npos);
  }
}

TEST(PointsBeyond, FewOrFarApartOrWithinUOfTheLimitAreNone) {
  EXPECT_TRUE(Spiked(7, 0.5, 1.0).found().empty());
  EXPECT_TRUE(Spiked(10, 5.0, 1.0).found().empty());
  EXPECT_TRUE(Spiked(200, 0.25, 0.54).found().empty());
  EXPECT_TRUE(Spiked(0, 1.0, 0.0).found().empty());
}

/// Of a burr round a hole, half of the points were of no face or shared their distance with none.
TEST(PointsBeyond, ThoseSetAsideCountWhereSomeWereRead) {
  for (const Reading kind : {Reading::Beside, Reading::Stray}) {
    Spiked burr(5, 0.5, 1.0);
    burr.f.plan.least_area_mm2 = 20.0 * area_of_a_point(burr.f.tree.cells(), burr.f.readings);
    EXPECT_TRUE(burr.found().empty());
    burr.add(30, kind);
    ASSERT_EQ(burr.found().size(), 1U);
    EXPECT_EQ(burr.found()[0].points, 35);
  }
  Spiked bench(0, 0.5, 1.0);
  bench.f.plan.least_area_mm2 = 20.0 * area_of_a_point(bench.f.tree.cells(), bench.f.readings);
  bench.add(30, Reading::Beside);
  EXPECT_TRUE(bench.found().empty()) << "nothing of it was read";
}

TEST(PointsBeyond, ThoseSetAsideDoNotCountWhereTheyRunOnIntoABench) {
  Spiked clamp(5, 0.5, 1.0);
  clamp.f.plan.least_area_mm2 = 20.0 * area_of_a_point(clamp.f.tree.cells(), clamp.f.readings);
  clamp.add(30, Reading::Beside);
  clamp.add(1, Reading::TooFar);
  EXPECT_TRUE(clamp.found().empty());
}

TEST(PointsBeyond, ThatCoverLessThanTheLeastAreaAreNone) {
  Spiked burr(20, 0.25, 1.0);
  const double covered = 20.0 * area_of_a_point(burr.f.tree.cells(), burr.f.readings);
  burr.f.plan.least_area_mm2 = 2.0 * covered;
  EXPECT_TRUE(burr.found().empty());
}

}  // namespace
}  // namespace trammel
