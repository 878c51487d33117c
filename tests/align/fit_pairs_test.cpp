#include "trammel/align/fit_pairs.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/align/freedom.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

Eigen::Matrix3Xd columns(std::initializer_list<Eigen::Vector3d> points) {
  Eigen::Matrix3Xd out(3, static_cast<Eigen::Index>(points.size()));
  Eigen::Index at = 0;
  for (const Eigen::Vector3d& p : points)
    out.col(at++) = p;
  return out;
}

TEST(FitPairs, RecoversThePublishedExactCase) {
  // Six points turned by 30° about z and shifted by (−1, −1, −1), as public sources that implement
  // Umeyama 1991 test it; the turned points computed apart (shared/REFERENCE.md, registration).
  const auto scan =
      columns({{1, 1, 1}, {3, 4, 5}, {10, 8, 6}, {2, 4, 7}, {7, 1, 2}, {-14, -5, 16}});
  const auto design = columns({{-0.63397459621556135, 0.3660254037844386, 0},
                               {-0.40192378864668406, 3.9641016151377544, 4},
                               {3.6602540378443862, 10.928203230275509, 5},
                               {-1.2679491924311228, 3.4641016151377548, 6},
                               {4.5621778264910704, 3.3660254037844388, 1},
                               {-10.624355652982141, -12.330127018922193, 15}});
  const PairsFit fit = fit_pairs(design, scan);
  const Eigen::Matrix3d turn(Eigen::AngleAxisd(M_PI / 6.0, Eigen::Vector3d::UnitZ()));
  EXPECT_LT((fit.T_design_scan.linear() - turn).norm(), 1e-12);
  EXPECT_LT((fit.T_design_scan.translation() - Eigen::Vector3d(-1, -1, -1)).norm(), 1e-12);
  EXPECT_LT(fit.residual_mm.maxCoeff(), 1e-12);
}

TEST(FitPairs, NeverMirrorsWhereUmeyamasExampleWould) {
  // The example of Umeyama 1991: its best orthogonal matrix is a reflection. In the plane the
  // answer is R = [[3, 2], [−2, 3]]/√13, mean squared error 0.619755 without scale (closed form in
  // shared/REFERENCE.md). In space a half turn about y maps the points exactly: the error is 0 and
  // the determinant still +1.
  const auto scan = columns({{0, 0, 0}, {1, 0, 0}, {0, 2, 0}});
  const auto design = columns({{0, 0, 0}, {-1, 0, 0}, {0, 2, 0}});
  const PairsFit flat = fit_pairs(design, scan);
  EXPECT_LT(flat.residual_mm.maxCoeff(), 1e-12);
  EXPECT_NEAR(flat.T_design_scan.linear().determinant(), 1.0, 1e-12);
  // Heights of equal sign on both sides keep the plane upright: a prism, its top corners mapped in
  // the same way, leaves the planar answer as the best one.
  Eigen::Matrix3Xd tall_scan(3, 6), tall_design(3, 6);
  tall_scan << scan, scan;
  tall_design << design, design;
  for (Eigen::Index i = 0; i < 6; ++i)
    tall_scan(2, i) = tall_design(2, i) = i < 3 ? -100.0 : 100.0;
  const PairsFit upright = fit_pairs(tall_design, tall_scan);
  Eigen::Matrix2d published;
  published << 3, 2, -2, 3;
  published /= std::sqrt(13.0);
  EXPECT_LT((upright.T_design_scan.linear().topLeftCorner<2, 2>() - published).norm(), 1e-9);
  EXPECT_NEAR(upright.T_design_scan.translation().x(), -0.980484, 1e-6);
  EXPECT_NEAR(upright.T_design_scan.translation().y(), 0.296866, 1e-6);
  EXPECT_NEAR(upright.residual_mm.squaredNorm() / 6.0, 0.619755, 1e-6);
}

TEST(FitPairs, GivesBackTheErrorOfItsPairs) {
  // σ² Σ residual² has 3 N − 6 degrees of freedom: averaged over 400 trials it is known to
  // √(2 / (400 · 3)) = 4 % (1 σ); four σ allowed.
  double squares = 0.0, moved = 0.0;
  constexpr int kTrials = 400;
  const auto design = columns({{0, 0, 0}, {90, 0, 0}, {0, 60, 10}});
  for (int k = 0; k < kTrials; ++k) {
    Rng rng = Rng(5).stream(std::to_string(k));
    Eigen::Isometry3d T = Eigen::Isometry3d::Identity();
    T.rotate(rng.rotation());
    T.translation() = 100.0 * rng.direction();
    Eigen::Matrix3Xd scan = T.inverse() * design;
    for (Eigen::Index i = 0; i < scan.size(); ++i)
      scan.data()[i] += 0.2 * rng.normal();
    const PairsFit fit = fit_pairs(design, scan);
    squares += fit.error_mm * fit.error_mm / kTrials;
    // Error of the pose against its covariance: χ² of 6.
    const Eigen::Isometry3d error = fit.T_design_scan * T.inverse();
    const Eigen::AngleAxisd turn(error.linear());
    Eigen::Matrix<double, 6, 1> x;
    x << turn.angle() * turn.axis(), error * fit.center_mm - fit.center_mm;
    moved += x.dot((0.04 * fit.unit_covariance).inverse() * x) / kTrials;
  }
  EXPECT_NEAR(std::sqrt(squares), 0.2, 0.2 * 4 * 0.02);
  EXPECT_NEAR(moved, 6.0, 4.0 * std::sqrt(12.0 / kTrials));
}

TEST(FitPairs, WidensItsErrorByStudentsFactor) {
  // Two-sided 95.45 %: the table G.2 of the GUM (JCGM 100:2008), from memory.
  EXPECT_NEAR(student_factor(3), 3.31, 0.04);
  EXPECT_NEAR(student_factor(6), 2.52, 0.02);
  EXPECT_NEAR(student_factor(9), 2.32, 0.02);
  EXPECT_NEAR(student_factor(1e9), 2.0, 1e-6);
}

TEST(FitPairs, MeasuresTheDistanceAtAnyPose) {
  const auto points = columns({{0, 0, 0}, {90, 0, 0}, {0, 60, 10}});
  Eigen::Isometry3d shifted = Eigen::Isometry3d::Identity();
  shifted.translation() = Eigen::Vector3d(3, 4, 0);
  EXPECT_NEAR(pairs_rms_mm(points, points, shifted), 5.0, 1e-12);
}

}  // namespace
}  // namespace trammel
