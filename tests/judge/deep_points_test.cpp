#include "trammel/judge/deep_points.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"
#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// A plate of 80 × 60 × `thick` mm, ±0.5 mm, σ 0.015 mm and U 0.03 mm: beyond the band is deeper
/// than 0.56 mm.
struct Deep {
  test::CellFixture f;
  Eigen::Matrix3Xd points_mm, normals;
  Deviations deviations;
  std::vector<std::uint8_t> across;
  const PlacedScan scan{points_mm, normals, deviations, 0.015, 0.4, f.plan, 0.03, 0.5};
  const SlitEvidence evidence{scan, f.index, f.tree.cells(), across};

  explicit Deep(double thick_mm)
      : f([](const Vector3d&, const Vector3d&) { return 0.0; },
          test::box({0, 0, 0}, {80, 60, thick_mm})) {}

  void add(const Vector3d& p) {
    points_mm.conservativeResize(3, points_mm.cols() + 1);
    points_mm.rightCols<1>() = p;
    deviations.reading.push_back(Reading::Stray);
    deviations.signed_mm.setConstant(points_mm.cols(), test::kUnseen);
    deviations.reach_mm = 5.0;
  }
};

TEST(DeepPoints, AreToldByHowDeepTheyLie) {
  Deep deep(4.0);
  deep.add({40, 30, 3.3});   // 0.7 mm under the upper face
  deep.add({40, 30, 3.7});   // within the band
  deep.add({40, 30, 3.95});  // within noise
  deep.add({40, 30, 4.6});   // above it
  const auto found = deep_points(deep.evidence);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].kind, Depth::Beyond);
  EXPECT_NEAR(found[0].depth_mm, 0.7, 1e-9);
  EXPECT_EQ(found[1].kind, Depth::Shallow);
  deep.across.assign(4, 1);  // looking sideways counts at any depth
  EXPECT_EQ(deep_points(deep.evidence).size(), 3U);
}

TEST(BeyondBand, IsTheBandAndWhatNoiseOrUTakes) {
  const Deep deep(4.0);
  EXPECT_NEAR(beyond_band_mm(deep.scan, {40, 30, 4}), 0.5 + 0.06, 1e-12);
}

// What lies nearer to the rim than to the face is the rim's: of a block with edges at right angles
// the deep material is the block less what lies within 0.56 mm of its faces, down to 3 mm.
TEST(DeepMaterial, OfAPlateIsItsInside) {
  const Deep plate(4.0);
  const double inside_mm3 = (80 - 1.12) * (60 - 1.12) * (4 - 1.12);
  EXPECT_NEAR(deep_volume_mm3(plate.evidence), inside_mm3, 0.03 * inside_mm3);
  EXPECT_NEAR(deep_area_mm2(plate.evidence), 2 * 80 * 60 + 4 * 280, 0.1 * 10720);
}

TEST(DeepMaterial, OfThinSheetIsNone) {
  const Deep sheet(1.0);
  EXPECT_EQ(deep_volume_mm3(sheet.evidence), 0.0);
  EXPECT_EQ(deep_area_mm2(sheet.evidence), 0.0);
}

}  // namespace
}  // namespace trammel
