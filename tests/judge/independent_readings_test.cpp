#include "trammel/judge/independent_readings.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "trammel/geometry/flat_faces.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

Eigen::VectorXi faces_of_cells(const test::CellFixture& f) {
  const FlatFaces flat = find_flat_faces(f.design);
  Eigen::VectorXi out(f.tree.cells().size());
  for (Eigen::Index c = 0; c < out.size(); ++c)
    out[c] = flat.face_of[f.tree.cells().triangle[c]];
  return out;
}

TEST(IndependentReadings, KeepAreaAndMeanOfWhatWasSeen) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (n.z() < -0.9) return test::kUnseen;
    return n.z() > 0.9 ? 0.01 * p.x() : 0.0;
  });
  const auto blocks = independent_readings(f.tree.cells(), f.readings, faces_of_cells(f), 4.0);
  // Box 60 × 40 × 5 without its lower face.
  EXPECT_NEAR(blocks.area_mm2.sum(), 60 * 40 + 2 * 60 * 5 + 2 * 40 * 5, 1e-6);
  // Of the upper face 0.01 x averages 0.3.
  EXPECT_NEAR(blocks.area_mm2.dot(blocks.deviation_mm), 0.3 * 2400, 1e-6);
}

TEST(IndependentReadings, CountAsManyAsBlocksFit) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  const auto blocks = independent_readings(f.tree.cells(), f.readings, faces_of_cells(f), 5.0);
  EXPECT_NEAR(blocks.effective_count(), (2 * 2400 + 2 * 300 + 2 * 200) / 25.0, 1e-6);
}

TEST(IndependentReadings, NoBlockMixesTwoFaces) {
  const test::CellFixture f([](const Vector3d&, const Vector3d& n) { return n.x() + 2 * n.y(); });
  const auto blocks = independent_readings(f.tree.cells(), f.readings, faces_of_cells(f), 9.0);
  for (Eigen::Index b = 0; b < blocks.size(); ++b) {
    const Vector3d n = blocks.normal.col(b);
    EXPECT_NEAR(blocks.deviation_mm[b], n.x() + 2 * n.y(), 1e-12);
  }
}

}  // namespace
}  // namespace trammel
