#include "trammel/judge/local_flaws.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

std::vector<LocalFlaw> found_in(const test::CellFixture& f, double beyond_mm) {
  const FlatFaces flat = find_flat_faces(f.design);
  const SurfaceCells& cells = f.tree.cells();
  Eigen::VectorXi face(cells.size());
  for (Eigen::Index c = 0; c < cells.size(); ++c)
    face[c] = flat.face_of[cells.triangle[c]];
  return local_flaws(cells, f.readings.deviation_mm,
                     Eigen::VectorXd::Constant(cells.size(), beyond_mm), face, flat.faces);
}

TEST(LocalFlaws, ADentIsFoundWithItsDepthPlaceAndArea) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 8) ? -1.0 : 0.0; });
  const auto found = found_in(f, 0.1);
  ASSERT_EQ(found.size(), 1u);
  EXPECT_EQ(found[0].flaw.kind, FlawKind::Dent);
  EXPECT_EQ(found[0].flaw.figure_mm, -1.0);
  // A cell of at most 0.8 mm along the sides of the square counts whole or not at all.
  EXPECT_NEAR(found[0].area_mm2, 64.0, 4 * 8 * 0.8);
  EXPECT_EQ(found[0].flaw.normal, Vector3d::UnitZ());
}

TEST(LocalFlaws, NeighbouringDentAndBlobStayApart) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (!test::in_square(p, n, 10)) return 0.0;
    return p.x() < 30 ? -0.5 : 0.6;
  });
  const auto found = found_in(f, 0.1);
  ASSERT_EQ(found.size(), 2u);
  EXPECT_EQ(found[0].flaw.kind, FlawKind::Blob);
  EXPECT_EQ(found[1].flaw.kind, FlawKind::Dent);
}

TEST(LocalFlaws, HalfAFaceIsNoDentAndASpeckIsNone) {
  const test::CellFixture half(
      [](const Vector3d& p, const Vector3d& n) { return n.z() > 0.9 && p.x() < 30 ? -1.0 : 0.0; });
  EXPECT_TRUE(found_in(half, 0.1).empty());
  const test::CellFixture speck(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 1.2) ? -1.0 : 0.0; });
  EXPECT_TRUE(found_in(speck, 0.1).empty());
  const test::CellFixture faint(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 8) ? -0.15 : 0.0; });
  EXPECT_TRUE(found_in(faint, 0.1).empty());
}

}  // namespace
}  // namespace trammel
