#include "trammel/align/datum_features.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

struct Scene {
  Mesh part = test::bracket();
  SurfaceIndex design{part};
  FlatFaces flat = find_flat_faces(design.mesh());
};

FoundDatum found_at(const Scene& scene, const Vector3d& at) {
  return find_datum(scene.design, scene.flat, at, Rng(1));
}

TEST(DatumFeatures, TellFacesFromHoles) {
  const Scene scene;
  const auto below = found_at(scene, {55, 30, 0});
  ASSERT_TRUE(std::holds_alternative<DatumFace>(below.feature));
  EXPECT_NEAR(std::get<DatumFace>(below.feature).face.normal.z(), -1.0, 1e-12);
  const auto above = found_at(scene, {55, 30, 3});
  EXPECT_NEAR(std::get<DatumFace>(above.feature).face.normal.z(), 1.0, 1e-12);
  const auto hole = found_at(scene, {40, 15, 3});  // the middle of its mouth: on no face
  ASSERT_TRUE(std::holds_alternative<DesignHole>(hole.feature));
  EXPECT_NEAR(std::get<DesignHole>(hole.feature).radius_mm, 4.2, 0.01);
  const auto nothing = found_at(scene, {300, 300, 300});
  EXPECT_TRUE(std::holds_alternative<std::monostate>(nothing.feature));
  EXPECT_FALSE(nothing.reason.empty());
}

TEST(DatumFeatures, MeasureAFaceByItsPatches) {
  const Scene scene;
  const auto datum = std::get<DatumFace>(found_at(scene, {55, 30, 3}).feature);
  for (const bool with_normals : {true, false}) {
    test::ScannerSettings settings;
    settings.points = 40000;
    settings.random_pose = false;
    settings.with_normals = with_normals;
    settings.stray_share = 0.02;
    const auto made = test::scan_of(scene.part, settings, Rng(2));
    const ScanSample sample = sample_scan(made.scan, 40000, Rng(3));
    Eigen::Isometry3d raised = Eigen::Isometry3d::Identity();
    raised.translation().z() = 0.2;
    const PlacedScan placed = place_scan(sample, scene.design, scene.flat, raised, 2.0);
    const FacePatches patches = face_patches(placed, datum, 0.05);
    EXPECT_GT(patches.seen, 0.98);
    EXPECT_GT(patches.height_mm.size(), 30);
    // Raised by 0.2, spray of 0.05 taken off; medians of some hundred readings of 0.03 mm noise.
    for (Eigen::Index k = 0; k < patches.height_mm.size(); ++k) {
      EXPECT_NEAR(patches.height_mm[k], 0.15, 5.0 * patches.error_mm[k] + 1e-3);
      EXPECT_LT(patches.error_mm[k], 0.02);
    }
  }
}

TEST(DatumFeatures, CountWhatOfAFaceWasSeen) {
  const Scene scene;
  const auto datum = std::get<DatumFace>(found_at(scene, {55, 30, 3}).feature);
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.random_pose = false;
  settings.views = {-Vector3d::UnitZ()};  // from below: the upper face is not seen at all
  const auto made = test::scan_of(scene.part, settings, Rng(4));
  const ScanSample sample = sample_scan(made.scan, 20000, Rng(5));
  const PlacedScan placed =
      place_scan(sample, scene.design, scene.flat, Eigen::Isometry3d::Identity(), 2.0);
  EXPECT_LT(face_patches(placed, datum, 0.0).seen, 0.05);
}

}  // namespace
}  // namespace trammel
