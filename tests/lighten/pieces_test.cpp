#include "trammel/lighten/pieces.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/mend.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

TEST(ConnectedPieces, AreLargestFirstWithTheirOwnVertices) {
  const Mesh two =
      mend(test::together({test::box({0, 0, 0}, {1, 1, 1}),
                           test::moved(test::sphere(5, 2),
                                       Eigen::Isometry3d(Eigen::Translation3d(50, 0, 0)))}))
          .mesh;
  const auto pieces = connected_pieces(two);
  ASSERT_EQ(pieces.size(), 2U);
  EXPECT_EQ(pieces[0].triangles.cols(), 320);
  EXPECT_EQ(pieces[1].triangles.cols(), 12);
  EXPECT_EQ(pieces[1].vertices_mm.cols(), 8);
}

/// Corners of all triangles, in an order of their own: what may not change by taking apart.
std::multiset<std::array<double, 9>> triangles_of(const std::vector<Mesh>& meshes) {
  std::multiset<std::array<double, 9>> out;
  for (const Mesh& mesh : meshes) {
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
      std::array<double, 9> corners{};
      for (Eigen::Index i = 0; i < 9; ++i)
        corners[static_cast<std::size_t>(i)] = mesh.vertices_mm(i % 3, mesh.triangles(i / 3, f));
      out.insert(corners);
    }
  }
  return out;
}

/// Area of a piece that does not look as most of it does.
double odd_share(const Mesh& piece) {
  Vector3d sum = Vector3d::Zero();
  std::vector<Vector3d> twice;
  for (Eigen::Index f = 0; f < piece.triangles.cols(); ++f) {
    twice.push_back(area_vector(piece, f));
    sum += twice.back();
  }
  double odd = 0.0, all = 0.0;
  for (const Vector3d& n : twice) {
    all += n.norm();
    if (n.dot(sum.normalized()) < 0.7 * n.norm()) odd += n.norm();
  }
  return odd / all;
}

// Two faces and the rest of the outline: ends, sides, slope, inner corner; four walls of holes.
constexpr std::size_t kFacesOfBracket = 13;

TEST(SmoothPieces, OfSolidsAreTheirFaces) {
  EXPECT_EQ(smooth_pieces(test::box({0, 0, 0}, {60, 40, 5})).size(), 6U);
  EXPECT_EQ(smooth_pieces(test::cylinder(10, 30, 48)).size(), 3U);  // 7.5° from facet to facet
  EXPECT_EQ(smooth_pieces(test::sphere(10, 3)).size(), 1U);
  EXPECT_EQ(smooth_pieces(test::bracket()).size(), kFacesOfBracket);
}

TEST(SmoothPieces, KeepEveryTriangleOnce) {
  const Mesh mesh = mend(test::refined(test::bracket(), 4.0)).mesh;
  EXPECT_EQ(triangles_of(smooth_pieces(mesh)), triangles_of({mesh}));
}

TEST(SmoothPieces, OfANoisyScanAreTheSameFaces) {
  Rng rng(3);
  const Mesh clean = mend(test::refined(test::box({0, 0, 0}, {24, 24, 24}), 0.8)).mesh;
  // On triangles half a millimetre high that turns them by some 10°, and neighbours against each
  // other by up to 50°.
  const Mesh noisy = test::displaced(clean, [&](const Vector3d&) -> Vector3d {
    return 0.05 * Vector3d(rng.normal(), rng.normal(), rng.normal());
  });
  CreaseSettings unsmoothed;
  unsmoothed.passes = 0;
  EXPECT_GT(smooth_pieces(noisy, unsmoothed).size(), 6U);
  const auto pieces = smooth_pieces(noisy);
  EXPECT_EQ(pieces.size(), 6U);
  for (std::size_t i = 0; i < pieces.size(); ++i)
    EXPECT_LT(odd_share(pieces[i]), 0.01) << "piece " << i;
  EXPECT_EQ(triangles_of(pieces), triangles_of({noisy}));
}

TEST(SmoothPieces, ThatAreCrumbsJoinAFace) {
  // One vertex 3 mm up makes a spike of steep triangles in the middle of a face.
  Mesh mesh = mend(test::refined(test::box({0, 0, 0}, {60, 40, 5}), 1.0)).mesh;
  Eigen::Index at = 0;
  (mesh.vertices_mm.colwise() - Vector3d(30, 20, 5)).colwise().norm().minCoeff(&at);
  mesh.vertices_mm(2, at) += 3.0;
  CreaseSettings keep_all;
  keep_all.least_share = 0.0;
  EXPECT_GT(smooth_pieces(mesh, keep_all).size(), 6U);
  CreaseSettings no_crumbs;
  no_crumbs.least_share = 0.005;
  EXPECT_EQ(smooth_pieces(mesh, no_crumbs).size(), 6U);
}

}  // namespace
}  // namespace trammel
