#include "trammel/report/corner_deviations.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

SurfaceMap box_map() {
  SurfaceMap surface;
  surface.cells = CellTree(test::box({0, 0, 0}, {30, 20, 10}), 2.0).take_cells();
  surface.readings.deviation_mm.setZero(surface.cells.size());
  return surface;
}

TEST(CornerDeviations, FollowASlopeExactlyInsideAFace) {
  SurfaceMap surface = box_map();
  const auto slope = [](const Eigen::Vector3d& p) { return 0.01 * p.x() - 0.02 * p.y(); };
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c)
    surface.readings.deviation_mm[c] = slope(surface.cells.center_mm.col(c));
  const Eigen::Matrix3Xd corners = corner_deviations(surface);
  int checked = 0;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    for (int k = 0; k < 3; ++k) {
      const Eigen::Vector3d p = surface.cells.vertices_mm.col(surface.cells.cells(k, c));
      const bool inside =
          p.z() > 9.99 && p.x() > 0.1 && p.x() < 29.9 && p.y() > 0.1 && p.y() < 19.9;
      if (!inside || surface.cells.normal(2, c) < 0.9) continue;
      EXPECT_NEAR(corners(k, c), slope(p), 1e-9);
      ++checked;
    }
  }
  EXPECT_GT(checked, 100);
}

TEST(CornerDeviations, DoNotRunOverASharpEdge) {
  SurfaceMap surface = box_map();
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c)
    surface.readings.deviation_mm[c] = surface.cells.normal(2, c) > 0.9 ? 1.0 : -1.0;
  const Eigen::Matrix3Xd corners = corner_deviations(surface);
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    for (int k = 0; k < 3; ++k)
      EXPECT_NEAR(corners(k, c), surface.readings.deviation_mm[c], 1e-12);
  }
}

TEST(CornerDeviations, RunOnOverASmoothBend) {
  // A tube of 24 sides: its faces turn by 15° at each edge, and read by their place around it.
  SurfaceMap surface;
  surface.cells = CellTree(test::cylinder(10.0, 30.0, 24), 2.0).take_cells();
  surface.readings.deviation_mm.resize(surface.cells.size());
  const auto slope = [](const Eigen::Vector3d& p) { return 0.05 * p.x() - 0.02 * p.z(); };
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c)
    surface.readings.deviation_mm[c] = slope(surface.cells.center_mm.col(c));
  const Eigen::Matrix3Xd corners = corner_deviations(surface);
  const Box ends = bounding_box(surface.cells.vertices_mm);
  std::map<int, double> at_vertex;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    if (std::abs(surface.cells.normal(2, c)) > 0.5) continue;  // the ends
    for (int k = 0; k < 3; ++k) {
      const int vertex = surface.cells.cells(k, c);
      const Eigen::Vector3d p = surface.cells.vertices_mm.col(vertex);
      if (p.z() < ends.low_mm.z() + 1.0 || p.z() > ends.high_mm.z() - 1.0) continue;
      EXPECT_NEAR(corners(k, c), slope(p), 0.02) << p.transpose();
      const auto first = at_vertex.try_emplace(vertex, corners(k, c)).first;
      EXPECT_EQ(corners(k, c), first->second) << "cells that meet share one value";
    }
  }
  EXPECT_GT(at_vertex.size(), 200U);
}

TEST(CornerDeviations, UnseenCellsStayUnseenAndPullNothingDown) {
  SurfaceMap surface = box_map();
  surface.readings.deviation_mm.setConstant(0.4);
  for (Eigen::Index c = 0; c < surface.cells.size(); c += 3)
    surface.readings.deviation_mm[c] = std::numeric_limits<double>::quiet_NaN();
  const Eigen::Matrix3Xd corners = corner_deviations(surface);
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    for (int k = 0; k < 3; ++k) {
      if (c % 3 == 0) {
        EXPECT_TRUE(std::isnan(corners(k, c)));
      } else {
        EXPECT_NEAR(corners(k, c), 0.4, 1e-12);
      }
    }
  }
}

}  // namespace
}  // namespace trammel
