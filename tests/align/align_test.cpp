#include "trammel/align/align.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

/// At the corners of the part where the scan has it.
double error_mm(const Alignment& alignment, const test::VirtualScan& made, const Box& box) {
  return test::corner_error_mm(alignment.T_design_scan.inverse(), made.T_design_scan.inverse(),
                               box);
}

enum class Truth { Right, Unsure, Wrong };

/// The one thing that must never happen is Wrong: a pose that is held for right and is not.
/// @param within_mm  error allowed at the corners of the part's box
Truth judge(const Alignment& alignment, const test::VirtualScan& made, const Box& box,
            double within_mm) {
  const bool held = alignment.found && alignment.converged && !alignment.ambiguous &&
                    alignment.free_directions.empty();
  if (!held) return Truth::Unsure;
  return error_mm(alignment, made, box) <= within_mm ? Truth::Right : Truth::Wrong;
}

struct Tally {
  int right = 0, unsure = 0, wrong = 0;
};

Tally tally_of(const Mesh& part, const test::ScannerSettings& settings, int poses, double within_mm,
               std::uint64_t seed) {
  const SurfaceIndex design(part);
  const Box box = bounding_box(part.vertices_mm);
  Tally tally;
  for (int k = 0; k < poses; ++k) {
    const Rng rng = Rng(seed).stream("pose " + std::to_string(k));
    test::ScannerSettings one = settings;
    if (one.views.size() == 1) one.views = {rng.stream("view").direction()};
    const auto made = test::scan_of(part, one, rng.stream("scan"));
    const Alignment alignment = align(made.scan, design, {}, rng.stream("align"));
    switch (judge(alignment, made, box, within_mm)) {
      case Truth::Right: ++tally.right; break;
      case Truth::Unsure: ++tally.unsure; break;
      case Truth::Wrong:
        ++tally.wrong;
        ADD_FAILURE() << "pose " << k << " of seed " << seed << " is held for right but is "
                      << error_mm(alignment, made, box) << " mm off";
        break;
    }
  }
  return tally;
}

test::ScannerSettings of_points(std::size_t points) {
  test::ScannerSettings settings;
  settings.points = points;
  return settings;
}

/// A panel, curved gently both ways and without symmetry; open, seen from above and below.
Mesh panel() {
  constexpr int kAlong = 50, kAcross = 35;
  Mesh mesh;
  mesh.vertices_mm.resize(3, (kAlong + 1) * (kAcross + 1));
  mesh.triangles.resize(3, 2 * kAlong * kAcross);
  for (int j = 0; j <= kAcross; ++j)
    for (int i = 0; i <= kAlong; ++i) {
      const double x = 400.0 * i / kAlong, y = 260.0 * j / kAcross;
      const double z = 30.0 * std::sin(x / 150.0) +
                       18.0 * std::sin(y / 120.0) * (1.0 + x / 1300.0) +
                       4.0 * std::sin(x / 60.0) * std::exp(-y / 120.0);
      mesh.vertices_mm.col(j * (kAlong + 1) + i) = Eigen::Vector3d(x, y, z);
    }
  Eigen::Index t = 0;
  for (int j = 0; j < kAcross; ++j)
    for (int i = 0; i < kAlong; ++i) {
      const int a = j * (kAlong + 1) + i, b = a + 1, c = a + kAlong + 1, d = c + 1;
      mesh.triangles.col(t++) = Eigen::Vector3i(a, b, d);
      mesh.triangles.col(t++) = Eigen::Vector3i(a, d, c);
    }
  return mesh;
}

TEST(Align, PutsAGoodScanWithinTwoHundredthsFromAnyPose) {
  for (const Mesh& part : {test::bracket(), test::housing()}) {
    const Tally tally = tally_of(part, of_points(25000), test::rounds(1, 5), 0.02, 11);
    EXPECT_EQ(tally.right, test::rounds(1, 5));
  }
}

TEST(Align, PutsANoisyScanWithinATenth) {
  test::ScannerSettings settings = of_points(30000);
  settings.noise_mm = 0.15;
  const int poses = test::rounds(1, 3);
  EXPECT_EQ(tally_of(test::bracket(), settings, poses, 0.1, 12).right, poses);
}

TEST(Align, IsNotLedAstrayByStrays) {
  test::ScannerSettings settings = of_points(30000);
  settings.stray_share = 0.25;  // a fifth of all points
  const int poses = test::rounds(1, 3);
  EXPECT_EQ(tally_of(test::bracket(), settings, poses, 0.05, 13).right, poses);
}

TEST(Align, FindsThePartOnItsBench) {
  test::ScannerSettings settings = of_points(30000);
  settings.bench = true;
  settings.clamp = true;
  const Tally tally = tally_of(test::housing(), settings, test::rounds(1, 3), 0.25, 14);
  EXPECT_EQ(tally.wrong, 0);
}

TEST(Align, IsRightOrUnsureFromOneSide) {
  test::ScannerSettings settings = of_points(20000);
  settings.views = {Eigen::Vector3d::UnitZ()};  // the helper turns it
  const int poses = test::rounds(1, 3);
  EXPECT_EQ(tally_of(test::bracket(), settings, poses, 0.25, 15).wrong, 0);
  EXPECT_EQ(tally_of(test::housing(), settings, poses, 0.25, 16).wrong, 0);
}

TEST(Align, NeedsNoNormals) {
  test::ScannerSettings settings = of_points(30000);
  settings.with_normals = false;
  const int poses = test::rounds(1, 3);
  EXPECT_EQ(tally_of(test::bracket(), settings, poses, 0.05, 17).right, poses);
  // Sheet of 1 mm, scanned at half of that: local planes run through both faces.
  const int of_sheet = test::rounds(1, 2);
  EXPECT_EQ(tally_of(test::bracket(1.0), settings, of_sheet, 0.05, 31).right, of_sheet);
}

TEST(Align, FindsASmoothPanel) {
  const Tally tally = tally_of(panel(), of_points(30000), test::rounds(1, 2), 0.25, 18);
  EXPECT_EQ(tally.wrong, 0);
}

TEST(Align, CallsAFlangeAmbiguousAndListsItsTurns) {
  const Mesh part = test::flange(6);
  const SurfaceIndex design(part);
  const auto made = test::scan_of(part, of_points(30000), Rng(19));
  const Alignment alignment = align(made.scan, design, {}, Rng(20));
  EXPECT_TRUE(alignment.found);
  EXPECT_TRUE(alignment.ambiguous);
  ASSERT_EQ(alignment.others.size(), 5U);
  int by_60 = 0;
  for (const OtherPose& other : alignment.others)
    if (other.words == "turned 60° about z") ++by_60;
  EXPECT_EQ(by_60, 2);  // one way and the other
  EXPECT_FALSE(alignment.is_sure());
  EXPECT_TRUE(alignment.is_one_of_several());
}

TEST(Align, DoesNotFindAPartThatIsNotThere) {
  if (!test::is_long_run()) {
    GTEST_SKIP() << "WholeWay.AnotherPart… and PartInScene.IsNeverFound… try it; ./dev prove tests "
                    "runs this one";
  }
  const SurfaceIndex design(test::bracket());
  const auto made =
      test::scan_of(test::sphere(60.0, 4), of_points(test::rounds(3000, 20000)), Rng(0));
  const Alignment alignment = align(made.scan, design, {}, Rng(0));
  EXPECT_FALSE(alignment.found && alignment.doubts.empty() && !alignment.ambiguous);
}

TEST(Align, PredictsItsErrorHonestly) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  double chi_square = 0.0;
  const auto poses = static_cast<std::uint64_t>(test::rounds(5, 8));
  for (std::uint64_t seed = 0; seed < poses; ++seed) {
    const auto made = test::scan_of(part, of_points(test::rounds(15000, 30000)), Rng(100 + seed));
    const Alignment a = align(made.scan, design, {}, Rng(seed));
    ASSERT_TRUE(a.found);
    // Error in the design frame, about the middle of the scan: near enough to the centroid, as the
    // information couples rotation and translation only weakly there.
    const Eigen::Isometry3d error = a.T_design_scan * made.T_design_scan.inverse();
    const Eigen::AngleAxisd turn(error.linear());
    const Eigen::Vector3d center = (made.T_design_scan * made.scan.points_mm).rowwise().mean();
    Eigen::Matrix<double, 6, 1> x;
    x << turn.angle() * turn.axis(), error * center - center;
    chi_square += x.dot(a.information * x);
  }
  // Sum of n χ² of 6 degrees: mean 6 n, variance 12 n: σ = 9.8 of 8, 7.7 of 5. Four σ up; nor far
  // too careful: as many down, of 5 three, for four are below nothing.
  const double mean = 6.0 * static_cast<double>(poses), sigma = std::sqrt(2.0 * mean);
  EXPECT_LT(chi_square, mean + 4.0 * sigma);
  EXPECT_GT(chi_square, mean - test::rounds(3, 4) * sigma);
}

TEST(Align, ReportsAShrunkPrintButPlacesItRigidly) {
  const Mesh part = test::housing();
  const Eigen::Vector3d center = bounding_box(part.vertices_mm).center_mm();
  const Mesh shrunk = test::displaced(
      part, [&](const Eigen::Vector3d& p) { return Eigen::Vector3d(-0.004 * (p - center)); });
  const auto made = test::scan_of(shrunk, of_points(30000), Rng(21));
  const Alignment alignment = align(made.scan, SurfaceIndex(part), {}, Rng(22));
  EXPECT_TRUE(alignment.found);
  EXPECT_NEAR(alignment.scale.uniform, 0.996, 5e-4);
  EXPECT_NEAR(alignment.T_design_scan.linear().determinant(), 1.0, 1e-12);
}

TEST(Align, LeavesAsScannedWhereItIsAndSaysWhetherItFits) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  test::ScannerSettings settings = of_points(20000);
  AlignSettings as_scanned;
  as_scanned.method = AlignMethod::AsScanned;

  settings.random_pose = false;
  const Alignment in_place =
      align(test::scan_of(part, settings, Rng(23)).scan, design, as_scanned, Rng(24));
  EXPECT_EQ(in_place.T_design_scan.matrix(), Eigen::Matrix4d::Identity());
  EXPECT_EQ(in_place.method, "as-scanned");
  EXPECT_TRUE(in_place.found);
  EXPECT_GT(in_place.overlap, 0.98);

  // 2 mm off, it hardly lies on what would hold it; but nothing is to be held.
  test::VirtualScan shifted = test::scan_of(part, settings, Rng(23));
  shifted.scan.points_mm.row(0).array() += 2.0;
  const Alignment off = align(shifted.scan, design, as_scanned, Rng(24));
  EXPECT_TRUE(off.found);
  EXPECT_TRUE(off.is_sure()) << (off.doubts.empty() ? "" : off.doubts.front());
  EXPECT_EQ(off.standard_error_mm, 0.0);

  settings.random_pose = true;
  const Alignment elsewhere =
      align(test::scan_of(part, settings, Rng(25)).scan, design, as_scanned, Rng(26));
  EXPECT_FALSE(elsewhere.found);
  EXPECT_FALSE(elsewhere.doubts.empty());
}

TEST(Align, SaysSoWhenThereAreTooFewPoints) {
  Scan scan;
  scan.points_mm = Eigen::Matrix3Xd::Random(3, 5);
  const Alignment alignment = align(scan, SurfaceIndex(test::bracket()), {}, Rng(27));
  EXPECT_FALSE(alignment.found);
  EXPECT_FALSE(alignment.doubts.empty());
  EXPECT_FALSE(align(Scan{}, SurfaceIndex(test::bracket()), {}, Rng(28)).found);
}

TEST(Align, GivesTheSameBitsOnAnyThreadCount) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = test::scan_of(part, of_points(30000), Rng(29));
  const auto once = [&](int threads) {
    const ThreadLimit limit(threads);
    return align(made.scan, design, {}, Rng(30));
  };
  const Alignment one = once(1);
  for (const int threads : test::some_of<int>({4, 2}, 1)) {
    const Alignment many = once(threads);
    EXPECT_EQ(one.T_design_scan.matrix(), many.T_design_scan.matrix());
    EXPECT_EQ(one.information, many.information);
    EXPECT_EQ(one.standard_error_mm, many.standard_error_mm);
    EXPECT_EQ(one.overlap, many.overlap);
  }
}

}  // namespace
}  // namespace trammel
