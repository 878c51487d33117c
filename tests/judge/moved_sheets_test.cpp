#include "trammel/judge/moved_sheets.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/diagnosis.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A block with an ear of 2 mm sheet, 20 mm long, whose top is level with the block's.
Mesh block_with_ear() {
  return test::extrude({{{0, 0}, {40, 0}, {40, 8}, {60, 8}, {60, 10}, {0, 10}}}, 40.0);
}

/// The ear leans down by 0.03 mm/mm; `rest` is read from the rest of its top.
test::CellFixture with_leaning_ear(double rest) {
  return test::CellFixture(
      [&](const Vector3d& p, const Vector3d& n) {
        const bool top = n.y() > 0.9, under = n.y() < -0.9 && p.y() > 7.0;
        if (p.x() > 40.0 && (top || under)) return (top ? -0.03 : 0.03) * (p.x() - 40.0);
        return top ? rest : 0.0;
      },
      block_with_ear());
}

std::size_t faces_made(const test::CellFixture& f) {
  FlatFaces flat = find_flat_faces(f.design);
  const SurfaceCells& cells = f.tree.cells();
  Eigen::VectorXi face_of_cell(cells.size());
  for (Index c = 0; c < cells.size(); ++c)
    face_of_cell[c] = flat.face_of[cells.triangle[c]];
  const std::size_t before = flat.faces.size(), walls = find_walls(flat.faces, 5.0).size();
  part_moved_sheets(cells, f.readings.deviation_mm, Eigen::VectorXd::Constant(cells.size(), 0.1),
                    5.0, flat.faces, face_of_cell);
  const std::size_t made = flat.faces.size() - before;
  EXPECT_EQ(find_walls(flat.faces, 5.0).size(), walls + made);
  for (Index c = 0; c < cells.size(); ++c)
    EXPECT_TRUE(face_of_cell[c] != static_cast<int>(before) ||
                (cells.normal(1, c) > 0.9 && cells.center_mm(0, c) > 39.0));
  return made;
}

TEST(MovedSheets, AnEarWhoseTopIsPartOfALargerFaceIsAWallOfItsOwn) {
  EXPECT_EQ(faces_made(with_leaning_ear(0.0)), 1U);
}

TEST(MovedSheets, NothingIsPartedFromAFaceThatMovedAsAWhole) {
  EXPECT_EQ(faces_made(with_leaning_ear(-0.4)), 0U);
  EXPECT_EQ(faces_made(test::CellFixture([](const Vector3d&, const Vector3d&) { return 0.0; },
                                         block_with_ear())),
            0U);
}

// "Fill the dent of 0.85 mm" on its top and "take off 0.80 mm" under it would destroy it.
TEST(MovedSheets, TheEarIsToldToBeBentBack) {
  const test::CellFixture f = with_leaning_ear(0.0);
  const Diagnosis out =
      diagnose({f.flat, f.tree.cells(), f.readings, f.plan, 0.05, f.tidy.spacing_mm});
  ASSERT_EQ(out.flaws.size(), 1U);
  EXPECT_EQ(out.flaws[0].kind, FlawKind::Lean);
  EXPECT_TRUE(out.flaws[0].of_wall);
  EXPECT_NEAR(std::abs(out.flaws[0].figure_mm), 0.6, 0.02);
}

}  // namespace
}  // namespace trammel
