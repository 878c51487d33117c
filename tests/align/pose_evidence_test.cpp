#include "trammel/align/pose_evidence.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"

namespace trammel {
namespace {

Correspondence residual(double mm, bool facing = true) {
  Correspondence c;
  c.residual_mm = mm;
  c.facing = facing;
  return c;
}

TEST(ExplainedPoints, WeighsEachPointByWhatItStandsFor) {
  const std::vector<Correspondence> points = {residual(0.1), residual(-0.2), residual(0.05, false),
                                              residual(2.0)};
  Eigen::VectorXd share(4);
  share << 0.4, 0.3, 0.1, 0.1;  // a tenth of the scan is strays, in no sample
  const PoseEvidence evidence = explained_points(points, share, 0.25);
  EXPECT_EQ(evidence.explained, (std::vector<std::uint8_t>{1, 1, 0, 0}));
  EXPECT_NEAR(evidence.overlap, 0.7, 1e-12);
  EXPECT_NEAR(evidence.rms_mm, std::sqrt((0.01 + 0.04) / 2.0), 1e-12);
}

TEST(ExplainedPoints, LetTheFirstFewSpeakForAll) {
  const std::vector<Correspondence> points = {residual(0.1), residual(2.0)};
  const Eigen::VectorXd share = Eigen::VectorXd::Constant(10, 0.09);
  // One of the two is explained; the sample of ten stands for 0.9 of the scan.
  EXPECT_NEAR(explained_points(points, share, 0.25).overlap, 0.45, 1e-12);
}

TEST(CompareEvidence, CountsOnlyPointsThatTellThePosesApart) {
  PoseEvidence a, b;
  a.explained = {1, 1, 1, 1, 0, 0, 1, 1};
  b.explained = {1, 0, 0, 0, 1, 0, 1, 0};
  const Comparison c = compare_evidence(a, b);
  EXPECT_EQ(c.only_first, 4);
  EXPECT_EQ(c.only_second, 1);
  EXPECT_NEAR(c.z(), 3.0 / std::sqrt(5.0), 1e-12);
  EXPECT_EQ(compare_evidence(a, a).z(), 0.0);
}

TEST(ExplainedDesignShare, IsThePartOfTheSurfaceThatWasScanned) {
  // A plate 100 × 100 × 10: faces of 10,000 mm², rims of 4,000 together. Seen: the upper face.
  const Mesh plate = test::plate(100, 100, 10);
  const auto seen = sample_surface(plate, 20000, Rng(1));
  ScanSample scan;
  std::vector<Eigen::Index> upper;
  for (Eigen::Index i = 0; i < seen.points_mm.cols(); ++i)
    if (seen.normals(2, i) > 0.9) upper.push_back(i);
  scan.points_mm.resize(3, static_cast<Eigen::Index>(upper.size()));
  for (std::size_t i = 0; i < upper.size(); ++i)
    scan.points_mm.col(static_cast<Eigen::Index>(i)) = seen.points_mm.col(upper[i]);
  scan.normals = Eigen::Vector3d::UnitZ().replicate(1, scan.size());
  scan.oriented = true;
  const PointIndex index(scan.points_mm);
  const auto design = sample_surface(plate, 3000, Rng(2));
  const double share =
      explained_design_share(design, scan, index, Eigen::Isometry3d::Identity(), 5.0);
  EXPECT_NEAR(share, 10000.0 / 24000.0, 0.002);  // systematic samples: 1/3000 a face
}

}  // namespace
}  // namespace trammel
