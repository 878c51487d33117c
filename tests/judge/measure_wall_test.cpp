#include "trammel/judge/measure_wall.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/face_cells.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// The wall behind a place of a design.
struct FoundWall {
  Mesh design;
  CellTree tree;
  SurfaceIndex index;
  SmoothFaces faces;
  SurfaceRays rays;
  DrawnWall wall;
  FoundWall(const Mesh& mesh, const Vector3d& at)
      : design(mesh), tree(design, 0.8), index(design), faces(index), rays(tree.cells()) {
    const FoundFace found = faces.at(at);
    EXPECT_EQ(found.reason, "");
    wall = find_wall(found.face, faces, tree.cells(), rays);
  }
};

TEST(FindWall, GoesStraightThroughTheMaterial) {
  const FoundWall found(test::box({0, 0, 0}, {60, 40, 5}), {10, 10, 5});
  ASSERT_EQ(found.wall.reason, "");
  EXPECT_NEAR(found.wall.thickness_mm, 5.0, 1e-9);
  EXPECT_NEAR(found.wall.other.normal.z(), -1.0, 1e-12);
  const SurfaceCells& cells = found.tree.cells();
  ASSERT_GT(found.wall.front.size(), 1000U);
  double area_mm2 = 0.0;
  for (std::size_t i = 0; i < found.wall.front.size(); ++i) {
    const Vector3d front = cells.center_mm.col(found.wall.front[i]),
                   back = cells.center_mm.col(found.wall.back[i]);
    area_mm2 += cells.area_mm2[found.wall.front[i]];
    EXPECT_LT((front - back).head<2>().norm(), 0.8);
    EXPECT_NEAR(found.wall.drawn_mm[static_cast<Eigen::Index>(i)], 5.0, 1e-9);
  }
  EXPECT_NEAR(area_mm2, 2400.0, 1e-6);
}

// An L of two boxes: behind x = 3 … 60 of the underside is the base's upper face, behind the rest
// the upright's top.
TEST(FindWall, TakesOnlyWhatLiesBehindTheFaceThatIsAcross) {
  const FoundWall base(test::bracket(), {50, 30, 0});
  ASSERT_EQ(base.wall.reason, "");
  EXPECT_NEAR(base.wall.thickness_mm, 3.0, 1e-9);
  for (const int front : base.wall.front)
    EXPECT_GT(base.tree.cells().center_mm(0, front), 2.9);
}

TEST(FindWall, SaysWhereThereIsNone) {
  // A prism whose upper side leans by 5°.
  const Mesh wedge =
      test::displaced(test::box({0, 0, 0}, {60, 40, 5}), [](const Vector3d& p) -> Vector3d {
        return p.z() > 4.0 ? Vector3d(0, 0, 0.0875 * p.x()) : Vector3d::Zero();
      });
  EXPECT_EQ(FoundWall(wedge, {30, 20, 0}).wall.reason,
            "the design has no flat parallel side behind it");
}

template <typename Deviation>
CellValues thickness_of(const Deviation& deviation) {
  const test::CellFixture f(deviation);
  const SmoothFaces faces(f.index);
  const SurfaceRays rays(f.tree.cells());
  return wall_values(find_wall(faces.at({10, 10, 5}).face, faces, f.tree.cells(), rays),
                     f.tree.cells(), f.readings, points_in_cells(f.readings));
}

// Both faces off by 0.3 towards +Z: the part lies higher and is as thick as before.
TEST(WallValues, DoNotHangOnHowThePartLies) {
  const CellValues moved = thickness_of(
      [](const Vector3d& p, const Vector3d& n) { return n.z() * (0.3 + 0.01 * p.x()); });
  int read = 0;
  for (Eigen::Index c = 0; c < moved.chosen.size(); ++c) {
    if (moved.chosen[c] < 0) continue;
    ++read;
    EXPECT_NEAR(moved.value_mm[c], 5.0, 0.01);  // cells across lie 0.8 mm off at most
    EXPECT_GT(moved.points_across[c], 0.0);
  }
  EXPECT_GT(read, 1000);
}

TEST(WallValues, AddWhatBothSidesAreOff) {
  const CellValues thick = thickness_of([](const Vector3d&, const Vector3d& n) {
    return n.z() > 0.9 ? 0.2 : n.z() < -0.9 ? 0.1 : 7.0;
  });
  for (Eigen::Index c = 0; c < thick.chosen.size(); ++c) {
    if (thick.chosen[c] == 0) {
      EXPECT_NEAR(thick.value_mm[c], 5.3, 1e-9);
    }
  }
}

// Half of one side and another half of the other: the wall was seen on both sides in a quarter.
TEST(WallValues, AreOnlyWhereBothSidesWereSeen) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (n.z() > 0.9) return p.x() < 30 ? 0.0 : test::kUnseen;
    return p.y() < 20 ? 0.0 : test::kUnseen;
  });
  const SmoothFaces faces(f.index);
  const SurfaceRays rays(f.tree.cells());
  const CellValues out =
      wall_values(find_wall(faces.at({10, 10, 5}).face, faces, f.tree.cells(), rays),
                  f.tree.cells(), f.readings, points_in_cells(f.readings));
  EXPECT_NEAR(sight_of(out, f.tree.cells()).share, 0.25, 0.02);
}

}  // namespace
}  // namespace trammel
