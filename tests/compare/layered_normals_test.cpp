#include "trammel/compare/layered_normals.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

/// Both faces of a level sheet, `count` points each at random places of 20 × 20 mm.
Matrix3Xd two_faces(double upper_z, double lower_z, Index count) {
  Rng rng(5);
  Matrix3Xd points(3, 2 * count);
  for (Index i = 0; i < 2 * count; ++i)
    points.col(i) << rng.uniform(0, 20), rng.uniform(0, 20), i < count ? upper_z : lower_z;
  return points;
}

TEST(LayeredNormals, PlaneIsFoundAmongPointsOfTwoFacesNearerThanTheirSpacing) {
  const Matrix3Xd points = two_faces(0.8, 0.0, 1000);  // 0.63 mm apart on average
  const PointIndex index(points);
  EstimatedNormals estimated = estimate_normals(points, index);
  const auto upright = [&] {
    Index count = 0;
    for (Index i = 0; i < points.cols(); ++i)
      count += estimated.is_flat(i) && std::abs(estimated.normals(2, i)) > 0.98 ? 1 : 0;
    return static_cast<double>(count) / static_cast<double>(points.cols());
  };
  EXPECT_LT(upright(), 0.5);
  refit_uneven(points, index, estimated);
  EXPECT_GT(upright(), 0.9);
}

/// The side of the upper face of a sheet whose design is 1 mm thick with its lower face at 0.
int side_of_upper(const Matrix3Xd& points, Index upper_count, double normal_z) {
  const SurfaceIndex design(test::box({-5, -5, 0}, {25, 25, 1}));
  Matrix3Xd normals(3, points.cols());
  normals.colwise() = Vector3d(0, 0, normal_z);
  std::vector<Index> patch(static_cast<std::size_t>(upper_count));
  std::iota(patch.begin(), patch.end(), Index{0});
  return side_by_layers(patch, points, normals, PointIndex(points), design, 0.3);
}

TEST(LayeredNormals, OtherFaceTellsTheSideOfASheetPushedThroughItself) {
  for (const double pushed : {0.0, 0.7, 1.0, 2.5}) {
    const Matrix3Xd points = two_faces(1.0 - pushed, -pushed, 2000);
    EXPECT_EQ(side_of_upper(points, 2000, 1.0), 1) << pushed;
    EXPECT_EQ(side_of_upper(points, 2000, -1.0), -1) << pushed;
  }
}

TEST(LayeredNormals, FaceSeenAloneTellsNothing) {
  const Matrix3Xd points = two_faces(0.3, 0.3, 1000);
  EXPECT_EQ(side_of_upper(points, 2000, 1.0), 0);
}

TEST(LayeredNormals, FaceBetweenTwoOthersTellsNothing) {
  Matrix3Xd points(3, 6000);
  points << two_faces(1.0, 0.0, 2000), two_faces(2.0, 2.0, 1000);
  EXPECT_EQ(side_of_upper(points, 2000, 1.0), 0);
}

}  // namespace
}  // namespace trammel
