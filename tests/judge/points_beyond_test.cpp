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
    return points_beyond(f.plan, f.tree.cells(), f.readings, f.deviations, points_mm, u, 0.4);
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

TEST(PointsBeyond, ThatCoverLessThanTheLeastAreaAreNone) {
  Spiked burr(20, 0.25, 1.0);
  const double covered = 20.0 * area_of_a_point(burr.f.tree.cells(), burr.f.readings);
  burr.f.plan.least_area_mm2 = 2.0 * covered;
  EXPECT_TRUE(burr.found().empty());
}

}  // namespace
}  // namespace trammel
