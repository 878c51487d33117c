#include "trammel/align/part_evidence.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

/// Of a scan of `made`, as it is laid on `design`.
PartEvidence evidence_of(const Mesh& design_mesh, const Mesh& made, bool with_normals = true,
                         std::vector<Eigen::Vector3d> views = {}) {
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.random_pose = false;
  settings.with_normals = with_normals;
  settings.views = std::move(views);
  const ScanSample sample = sample_scan(test::scan_of(made, settings, Rng(1)).scan, 8000, Rng(2));
  const SurfaceIndex design(design_mesh);
  const CoarseDesign coarse(design_mesh, Rng(3));
  const FineStage stage(sample, design, coarse);
  return part_evidence(stage, Eigen::Isometry3d::Identity(),
                       stage.tolerance_mm(stage.least_sigma_mm));
}

TEST(PartEvidence, IsCleanForThePartItself) {
  for (const bool with_normals : {true, false}) {
    const PartEvidence e = evidence_of(test::bracket(), test::bracket(), with_normals);
    EXPECT_GT(e.seen, 0.97);
    EXPECT_GT(e.on, 0.98);
    EXPECT_LT(e.runs_on, 0.005);
    EXPECT_LT(e.inside, 0.002);
  }
}

TEST(PartEvidence, CountsOnlyWhatWasSeen) {
  const PartEvidence e =
      evidence_of(test::plate(100, 100, 10), test::plate(100, 100, 10), true, {{0, 0, 1}});
  EXPECT_NEAR(e.seen, 10000.0 / 24000.0, 0.02);  // one face; samples at its rim reach a little on
  EXPECT_LT(e.runs_on, 0.005);
}

TEST(PartEvidence, SeesFacesRunOnWhereTheDesignEnds) {
  // A plate of 80 × 60 laid on one of 100 × 60: all of both faces and three of four rims lie on it,
  // and at the fourth both faces go on. Each edge borders two faces, so that is 2 · 60 of 4 · 280
  // mm; points a little farther in see less of what is beyond.
  const PartEvidence e = evidence_of(test::plate(80, 60, 5), test::plate(100, 60, 5));
  EXPECT_GT(e.seen, 0.95);
  EXPECT_GT(e.runs_on, 0.5 * 120.0 / 1120.0);
  // The other way round nothing runs on, but a fifth was not found.
  const PartEvidence less = evidence_of(test::plate(100, 60, 5), test::plate(80, 60, 5));
  EXPECT_NEAR(less.seen, 0.79, 0.04);
  EXPECT_LT(less.runs_on, 0.02);
}

TEST(PartEvidence, SeesSurfaceInTheMaterial) {
  // 2 mm taken off one end: the new end lies in the material.
  const PartEvidence e =
      evidence_of(test::box({0, 0, 0}, {60, 60, 60}), test::box({0, 0, 0}, {58, 60, 60}));
  EXPECT_GT(e.inside, 0.1);
}

TEST(PartEvidence, IsNothingForNothing) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const CoarseDesign coarse(part, Rng(3));
  ScanSample sample;
  sample.points_mm.resize(3, 0);
  sample.normals.resize(3, 0);
  const FineStage stage(sample, design, coarse);
  EXPECT_EQ(part_evidence(stage, Eigen::Isometry3d::Identity(), 0.3).seen, 0.0);
}

}  // namespace
}  // namespace trammel
