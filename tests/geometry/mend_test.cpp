#include "trammel/geometry/mend.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

/// Every triangle with three vertices of its own, as STL stores it.
Mesh as_soup(const Mesh& mesh) {
  Mesh soup;
  soup.vertices_mm.resize(3, 3 * mesh.triangles.cols());
  soup.triangles.resize(3, mesh.triangles.cols());
  for (int t = 0; t < static_cast<int>(mesh.triangles.cols()); ++t) {
    for (int k = 0; k < 3; ++k) {
      soup.vertices_mm.col(3 * t + k) = mesh.vertices_mm.col(mesh.triangles(k, t));
      soup.triangles(k, t) = 3 * t + k;
    }
  }
  return soup;
}

bool says(const MeshHealth& health, const std::string& words) {
  return std::find(health.repairs.begin(), health.repairs.end(), words) != health.repairs.end();
}

TEST(Mend, LeavesASoundMeshAsItIs) {
  const Mesh sphere = test::sphere(10.0, 2);
  const MendedMesh mended = mend(sphere);
  EXPECT_EQ(mended.mesh.triangles, sphere.triangles);
  EXPECT_EQ(mended.mesh.vertices_mm, sphere.vertices_mm);
  EXPECT_TRUE(mended.health.closed);
  EXPECT_FALSE(mended.health.inside_out);
  EXPECT_EQ(mended.health.shells, 1U);
  EXPECT_TRUE(mended.health.repairs.empty());
}

TEST(Mend, WeldsASoupToAClosedMeshInTheOrderOfItsTriangles) {
  const Mesh sphere = test::sphere(10.0, 3);
  const MendedMesh mended = mend(as_soup(sphere));
  EXPECT_TRUE(mended.health.closed);
  ASSERT_EQ(mended.mesh.vertices_mm.cols(), sphere.vertices_mm.cols());
  ASSERT_EQ(mended.mesh.triangles.cols(), sphere.triangles.cols());
  for (int t = 0; t < static_cast<int>(sphere.triangles.cols()); ++t) {
    for (int k = 0; k < 3; ++k) {
      ASSERT_EQ(mended.mesh.vertices_mm.col(mended.mesh.triangles(k, t)),
                sphere.vertices_mm.col(sphere.triangles(k, t)));
    }
  }
}

TEST(Mend, JoinsCornersThatRoundingPulledApartButKeepsARealGap) {
  Mesh soup = as_soup(test::box({0, 0, 0}, {10, 10, 10}));
  // The box's diagonal is 17.3, so places within 1.7e-5 are one.
  soup.vertices_mm.col(0).x() += 1e-5;
  EXPECT_TRUE(mend(soup).health.closed);
  soup.vertices_mm.col(0).x() += 1e-3;
  EXPECT_FALSE(mend(soup).health.closed);
}

TEST(Mend, CountsTheRimOfAnOpenBox) {
  Mesh open = test::box({0, 0, 0}, {10, 10, 10});
  open.triangles.conservativeResize(3, 11);
  const MeshHealth health = mend(open).health;
  EXPECT_EQ(health.open_edges, 3U);
  EXPECT_FALSE(health.closed);
}

TEST(Mend, DropsTrianglesWithEqualCornersAndRepeatedOnesAndSaysSo) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  const Eigen::Matrix3Xi sound = box.triangles;
  box.triangles.conservativeResize(3, 15);
  box.triangles.col(12) << box.triangles(0, 0), box.triangles(0, 0), box.triangles(1, 0);
  box.triangles.col(13) << box.triangles(1, 3), box.triangles(2, 3), box.triangles(0, 3);
  box.triangles.col(14) << box.triangles(1, 4), box.triangles(0, 4), box.triangles(2, 4);
  const MendedMesh mended = mend(box);
  EXPECT_EQ(mended.mesh.triangles, sound);
  EXPECT_EQ(mended.health.zero_area_triangles, 1U);
  EXPECT_EQ(mended.health.repeated_triangles, 2U);
  EXPECT_TRUE(mended.health.closed);
  EXPECT_TRUE(says(mended.health, "1 triangle without area dropped"));
  EXPECT_TRUE(says(mended.health, "2 repeated triangles dropped"));
}

TEST(Mend, CountsMixedWindingAsFoundAndTurnsIt) {
  Mesh sphere = test::sphere(10.0, 2);
  std::swap(sphere.triangles(1, 7), sphere.triangles(2, 7));
  const MendedMesh mended = mend(sphere);
  EXPECT_EQ(mended.health.mixed_winding_edges, 3U);
  EXPECT_EQ(mended.health.mixed_winding_left, 0U);
  EXPECT_TRUE(says(mended.health, "winding of 1 triangle turned"));
  EXPECT_GT(signed_volume_mm3(mended.mesh), 0.0);
}

TEST(Mend, TurnsASolidThatIsInsideOut) {
  Mesh box = test::box({0, 0, 0}, {10, 10, 10});
  for (Eigen::Index t = 0; t < box.triangles.cols(); ++t)
    std::swap(box.triangles(1, t), box.triangles(2, t));
  const MendedMesh mended = mend(box);
  EXPECT_TRUE(mended.health.inside_out);
  EXPECT_TRUE(says(mended.health, "1 closed piece turned outside out"));
  EXPECT_NEAR(signed_volume_mm3(mended.mesh), 1000.0, 1e-9);
}

TEST(Mend, CountsShellsAndDropsVerticesOfNoTriangle) {
  Mesh pair = test::together({test::box({0, 0, 0}, {1, 1, 1}), test::box({5, 5, 5}, {6, 6, 6})});
  const Eigen::Index used = pair.vertices_mm.cols();
  pair.vertices_mm.conservativeResize(3, used + 1);
  pair.vertices_mm.col(used) << 1e6, 0, 0;  // would swell the part's box
  const MendedMesh mended = mend(pair);
  EXPECT_EQ(mended.health.shells, 2U);
  EXPECT_EQ(mended.mesh.vertices_mm.cols(), used);
}

TEST(Mend, OfNothingIsNothing) {
  const MendedMesh mended = mend(Mesh{});
  EXPECT_EQ(mended.mesh.triangles.cols(), 0);
  EXPECT_FALSE(mended.health.closed);
}

TEST(Mend, OfAShuffledSoupKeepsAreaAndVolumeOfTheSolid) {
  const Mesh sphere = test::sphere(10.0, 4);
  Mesh soup = as_soup(sphere);
  Rng rng(3);
  for (int t = static_cast<int>(soup.triangles.cols()) - 1; t > 0; --t) {
    const auto other = static_cast<Eigen::Index>(rng.index(static_cast<std::size_t>(t) + 1));
    soup.triangles.col(t).swap(soup.triangles.col(other));
    if (rng.uniform() < 0.4) std::swap(soup.triangles(0, t), soup.triangles(1, t));
  }
  const MendedMesh mended = mend(soup);
  // Only the order of the sums differs: rounding of about 1e-16 of the value a term.
  EXPECT_NEAR(surface_area_mm2(mended.mesh), surface_area_mm2(sphere), 1e-8);
  EXPECT_NEAR(signed_volume_mm3(mended.mesh), signed_volume_mm3(sphere), 1e-8);
}

}  // namespace
}  // namespace trammel
