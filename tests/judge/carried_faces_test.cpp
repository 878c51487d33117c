#include "trammel/judge/carried_faces.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "trammel/judge/diagnosis.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kTurn = 0.03;

/// A base of 60 mm, 6 mm thick, with an upright along the Y axis that carries a shelf, both of 3
/// mm.
Mesh with_shelf() {
  return test::extrude({{{0, 0}, {60, 0}, {60, 6}, {3, 6}, {3, 40}, {20, 40}, {20, 43}, {0, 43}}},
                       40.0);
}

/// Two uprights on one base.
Mesh with_two() {
  return test::extrude({{{0, 0}, {60, 0}, {60, 43}, {57, 43}, {57, 6}, {3, 6}, {3, 43}, {0, 43}}},
                       40.0);
}

/// What stands over the base is turned about its foot.
double leaning(const Vector3d& p, const Vector3d& n) {
  return p.y() < 6.01 ? 0.0 : kTurn * (n.y() * p.x() - n.x() * (p.y() - 6.0));
}

struct Carried {
  FlatFaces flat;
  CarriedFaces out;
};

Carried carried_by_upright(const test::CellFixture& f) {
  Carried result{find_flat_faces(f.design), {}};
  const auto& faces = result.flat.faces;
  ExplainedFlaw flaw;
  flaw.shape.kind = FlawKind::Lean;
  for (std::size_t i = 0; i < faces.size(); ++i) {
    if (faces[i].normal.x() < -0.9 && faces[i].center_mm.x() < 1.0)
      flaw.shape.face = static_cast<int>(i);
    if (faces[i].normal.x() > 0.9 && std::abs(faces[i].center_mm.x() - 3.0) < 0.1)
      flaw.shape.back = static_cast<int>(i);
  }
  const FlatFace& front = faces[static_cast<std::size_t>(flaw.shape.face)];
  flaw.unknowns = Vector3d(front.center_mm.y() - 6.0, front.half_u_mm * front.u.y(),
                           front.half_v_mm * front.v.y()) *
                  kTurn;
  const SurfaceCells& cells = f.tree.cells();
  Eigen::VectorXi face_of_cell(cells.size());
  for (Index c = 0; c < cells.size(); ++c)
    face_of_cell[c] = result.flat.face_of[cells.triangle[c]];
  result.out = carried_by(flaw, faces, face_of_cell, cells, f.readings.deviation_mm,
                          Eigen::VectorXd::Constant(cells.size(), 0.1));
  return result;
}

TEST(CarriedFaces, AShelfGoesWithTheUprightTheBaseDoesNot) {
  const test::CellFixture f(leaning, with_shelf());
  const Carried carried = carried_by_upright(f);
  int found = 0;
  for (std::size_t i = 0; i < carried.flat.faces.size(); ++i) {
    const FlatFace& face = carried.flat.faces[i];
    const bool of_shelf = (std::abs(face.normal.y()) > 0.9 && face.center_mm.y() > 30.0) ||
                          (face.normal.x() > 0.9 && std::abs(face.center_mm.x() - 20.0) < 0.1);
    EXPECT_EQ(carried.out.face[i] != 0, of_shelf) << face.center_mm.transpose();
    if (of_shelf) ++found;
  }
  EXPECT_EQ(found, 3);
  for (Index c = 0; c < f.tree.cells().size(); ++c)
    EXPECT_TRUE(carried.out.moved_mm[c] == 0.0 ||
                std::abs(carried.out.moved_mm[c] - f.readings.deviation_mm[c]) < 0.05);
}

TEST(CarriedFaces, AnotherUprightThatLeansAlikeIsBentByItself) {
  const Carried carried = carried_by_upright(test::CellFixture(leaning, with_two()));
  for (std::size_t i = 0; i < carried.flat.faces.size(); ++i)
    EXPECT_TRUE(carried.flat.faces[i].center_mm.x() < 40.0 || carried.out.face[i] == 0)
        << carried.flat.faces[i].center_mm.transpose();
}

// The upright was to be bent back, and 3.47 mm to be taken off the shelf that goes with it.
TEST(CarriedFaces, GetNoAdviceOfTheirOwn) {
  const test::CellFixture f(leaning, with_shelf());
  const Diagnosis out =
      diagnose({f.flat, f.tree.cells(), f.readings, f.plan, 0.05, f.tidy.spacing_mm});
  ASSERT_EQ(out.flaws.size(), 1U) << out.flaws.back().words;
  EXPECT_NEAR(std::abs(out.flaws[0].figure_mm), kTurn * 37.0, 0.1);
  EXPECT_NE(out.flaws[0].words.find("goes with it"), std::string::npos) << out.flaws[0].words;
}

}  // namespace
}  // namespace trammel
