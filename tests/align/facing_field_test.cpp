#include "trammel/align/facing_field.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"

namespace trammel {
namespace {

/// Nearest sample among those that may stand for the direction: what the field approximates.
double best_distance(const SurfaceSamples& samples, const Eigen::Vector3d& p,
                     const Eigen::Vector3d& normal) {
  double best = 1e9;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    if (samples.normals.col(i).dot(normal) >= 0.3)
      best = std::min(best, (samples.points_mm.col(i) - p).norm());
  return best;
}

TEST(FacingField, FindsASampleAboutAsNearAsTheNearest) {
  const Mesh part = test::bracket();
  const Box box = bounding_box(part.vertices_mm);
  const SurfaceSamples samples = sample_surface(part, 4000, Rng(1));
  const FacingField field(samples, box);
  Rng rng(2);
  for (int trial = 0; trial < 300; ++trial) {
    const Eigen::Vector3d p(rng.uniform(box.low_mm.x(), box.high_mm.x()),
                            rng.uniform(box.low_mm.y(), box.high_mm.y()),
                            rng.uniform(box.low_mm.z(), box.high_mm.z()));
    // Directions along the axes: for these the field's own choice of faces is the one above.
    const Eigen::Vector3d normal =
        Eigen::Vector3d::Unit(static_cast<Eigen::Index>(rng.index(3))) * (trial % 2 ? 1.0 : -1.0);
    const int found = field.near(p, normal);
    ASSERT_GE(found, 0);
    EXPECT_GE(samples.normals.col(found).dot(normal), 0.3);
    const double distance = (samples.points_mm.col(found) - p).norm();
    // Asked at the cell's centre instead of p: at most half a cell's space diagonal twice. Sweeping
    // may miss the nearest by a fraction of a cell.
    EXPECT_LE(distance, best_distance(samples, p, normal) + 2.0 * field.cell_mm());
  }
}

TEST(FacingField, TellsTheTwoFacesOfThinSheetApart) {
  const Mesh sheet = test::plate(80, 60, 1.0);
  const SurfaceSamples samples = sample_surface(sheet, 4000, Rng(3));
  const FacingField field(samples, bounding_box(sheet.vertices_mm));
  // Half a millimetre above the sheet, but looking down: the lower face.
  const int lower = field.near({40, 30, 1.5}, -Eigen::Vector3d::UnitZ());
  ASSERT_GE(lower, 0);
  EXPECT_DOUBLE_EQ(samples.points_mm(2, lower), 0.0);
  const int upper = field.near({40, 30, -0.5}, Eigen::Vector3d::UnitZ());
  ASSERT_GE(upper, 0);
  EXPECT_DOUBLE_EQ(samples.points_mm(2, upper), 1.0);
}

TEST(FacingField, FindsNothingWhereNoFaceLooksThatWay) {
  Mesh lid = test::plate(80, 60, 1.0);
  const SurfaceSamples samples = sample_surface(lid, 2000, Rng(4));
  SurfaceSamples up;
  std::vector<Eigen::Index> facing;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    if (samples.normals(2, i) > 0.9) facing.push_back(i);
  up.points_mm.resize(3, static_cast<Eigen::Index>(facing.size()));
  up.normals.resize(3, up.points_mm.cols());
  for (std::size_t i = 0; i < facing.size(); ++i) {
    up.points_mm.col(static_cast<Eigen::Index>(i)) = samples.points_mm.col(facing[i]);
    up.normals.col(static_cast<Eigen::Index>(i)) = samples.normals.col(facing[i]);
  }
  const FacingField field(up, bounding_box(lid.vertices_mm));
  EXPECT_GE(field.near({40, 30, 5}, Eigen::Vector3d::UnitZ()), 0);
  EXPECT_EQ(field.near({40, 30, 5}, -Eigen::Vector3d::UnitZ()), -1);
}

TEST(FacingField, TakesAPlaceThatIsNoNumberForOneInItsTable) {
  const Mesh part = test::bracket();
  const SurfaceSamples samples = sample_surface(part, 1000, Rng(5));
  const FacingField field(samples, bounding_box(part.vertices_mm));
  const double nan = std::nan("");
  for (const Eigen::Vector3d& p : {Eigen::Vector3d(nan, nan, nan), Eigen::Vector3d(1e308, 0, nan)})
    EXPECT_LT(field.near(p, Eigen::Vector3d::UnitZ()), samples.points_mm.cols());
}

}  // namespace
}  // namespace trammel
