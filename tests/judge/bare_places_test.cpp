#include "trammel/judge/bare_places.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <utility>

#include "judge/cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

struct Strewn {
  Mesh design = test::box({0, 0, 0}, {20, 15, 3});
  CellTree tree;
  Eigen::Matrix3Xd points_mm;
  std::vector<Eigen::Index> chosen;

  Strewn(double longest_edge_mm, int points) : tree(design, longest_edge_mm), points_mm(3, points) {
    Rng rng(11);
    for (int i = 0; i < points; ++i) {
      points_mm.col(i) << rng.uniform(0, 20), rng.uniform(0, 15), i % 2 == 0 ? 3.05 : -0.05;
      if (i % 50 != 0) chosen.push_back(i);
    }
  }

  /// The slow twin: distance to the nearest chosen point of all.
  [[nodiscard]] double nearest_mm(const BarePlace& place) const {
    double nearest = 1e9;
    for (const Eigen::Index i : chosen)
      nearest = std::min(nearest, (points_mm.col(i) - place.at_mm).norm());
    return nearest;
  }
};

class BarePlacesOf : public testing::TestWithParam<std::pair<double, double>> {};

TEST_P(BarePlacesOf, AreThePlacesOfEmptyDiscs) {
  const auto [edge_mm, radius_mm] = GetParam();
  const Strewn scan(edge_mm, 1200);
  std::set<std::pair<int, int>> kept;  // cell and nearest corner, 3 the middle
  const SurfaceCells& cells = scan.tree.cells();
  const auto key = [&](const BarePlace& place) {
    for (int k = 0; k < 3; ++k) {
      const Vector3d corner = cells.vertices_mm.col(cells.cells(k, place.cell));
      const Vector3d center = cells.center_mm.col(place.cell);
      if ((place.at_mm - 0.5 * (corner + center)).norm() < 1e-9) return std::pair(place.cell, k);
    }
    return std::pair(place.cell, 3);
  };
  for (const BarePlace& place :
       bare_places(cells, PointGrid(scan.points_mm, scan.chosen, radius_mm))) {
    EXPECT_GT(scan.nearest_mm(place), radius_mm);
    EXPECT_TRUE(kept.insert(key(place)).second);
  }
  const auto is_small = [&](int c) {
    return std::all_of(cells.cells.col(c).begin(), cells.cells.col(c).end(), [&](int corner) {
      return (cells.vertices_mm.col(corner) - cells.center_mm.col(c)).norm() <= 0.5 * radius_mm;
    });
  };
  int empty = 0;
  for (int c = 0; c < cells.size(); ++c) {
    for (int k = is_small(c) ? 3 : 0; k < 4; ++k) {
      BarePlace place{c, cells.center_mm.col(c)};
      if (k < 3) place.at_mm = 0.5 * (place.at_mm + cells.vertices_mm.col(cells.cells(k, c)));
      if (scan.nearest_mm(place) <= radius_mm) continue;
      ++empty;
      EXPECT_EQ(kept.count(key(place)), 1U) << c << " " << k;
    }
  }
  EXPECT_GT(empty, 0);
  EXPECT_LT(static_cast<int>(kept.size()), 4 * cells.size());
}

INSTANTIATE_TEST_SUITE_P(CellsOfManySizes, BarePlacesOf,
                         testing::Values(std::pair(0.3, 0.8), std::pair(1.2, 0.6),
                                         std::pair(1.2, 0.9), std::pair(3.0, 0.6)));

TEST(BarePlaces, DenseScanLeavesNoneOnTheFaces) {
  const Strewn scan(0.3, 30000);  // 49 a mm² on either face
  const SurfaceCells& cells = scan.tree.cells();
  for (const BarePlace& place : bare_places(cells, PointGrid(scan.points_mm, scan.chosen, 0.8)))
    EXPECT_LT(std::abs(cells.normal.col(place.cell).z()), 0.5);  // the edges were not scanned
}

}  // namespace
}  // namespace trammel
