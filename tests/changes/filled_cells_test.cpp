#include "trammel/changes/filled_cells.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(FilledCells, TellThePointsOfACell) {
  Eigen::Matrix3Xd points(3, 3);
  points.col(0) << 0.5, 0.5, 0.5;
  points.col(1) << -0.5, 0.5, 0.5;
  points.col(2) << 1.9, 1.9, 1.9;
  const FilledCells cells(points, 2.0);
  EXPECT_TRUE(cells.holds({1.0, 1.0, 1.0}));
  ASSERT_NE(cells.in_cell_of({0.1, 0.1, 0.1}), nullptr);
  EXPECT_EQ(*cells.in_cell_of({0.1, 0.1, 0.1}), (std::vector<Eigen::Index>{0, 2}));
  EXPECT_EQ(*cells.in_cell_of({-1.9, 0.1, 0.1}), (std::vector<Eigen::Index>{1}));
  EXPECT_FALSE(cells.holds({2.1, 1.0, 1.0}));
  EXPECT_FALSE(cells.holds({-1.0, -1.0, 1.0}));
}

}  // namespace
}  // namespace trammel
