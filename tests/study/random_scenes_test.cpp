/// Small parts in large scans: found where they are, and never where they are not.

#include "study/random_scenes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <string>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/align/align.hpp"
#include "trammel/inspect.hpp"

namespace trammel::test {
namespace {

const std::size_t kPoints = rounds(36'000, 100'000);

struct Found {
  Alignment alignment;
  double error_mm = 0.0, share = 0.0;
};

Found look_for(const Mesh& part, const SceneScan& made, const Rng& rng) {
  Found out;
  out.alignment = align(made.scan, SurfaceIndex(part), {}, rng);
  out.error_mm = corner_error_mm(out.alignment.T_design_scan.inverse(),
                                 made.T_design_scan.inverse(), bounding_box(part.vertices_mm));
  out.share = made.part_share;
  return out;
}

Rng scene_rng(int seed) {
  return Rng(5).stream("scene " + std::to_string(seed));
}

/// TRAMMEL_SCENES=20 for the longer run (./dev prove scenes).
int scenes(int in_a_long_run = 1) {
  const char* asked = std::getenv("TRAMMEL_SCENES");
  return asked == nullptr ? rounds(1, in_a_long_run) : std::atoi(asked);
}

TEST(PartInScene, IsFoundAndRightAmongWhatIsLargerByFar) {
  for (int seed = 0; seed < scenes(2); ++seed) {
    const Mesh part = seed % 2 == 0 ? bracket() : housing();
    const Found found = look_for(part, scan_in_scene(part, kPoints, scene_rng(seed)), Rng(6));
    EXPECT_LT(found.share, 0.12) << seed;
    EXPECT_TRUE(found.alignment.is_sure()) << seed;
    EXPECT_LT(found.error_mm, 0.1) << seed;
    // The overlap is that of the whole scan: what lies on the part.
    EXPECT_NEAR(found.alignment.overlap, found.share, 0.02) << seed;
  }
}

TEST(PartInScene, IsNeverFoundWhereItIsNot) {
  for (int seed = 0; seed < scenes(); ++seed) {
    const Mesh part = seed % 2 == 0 ? bracket() : housing();
    const Found found =
        look_for(part, scan_of_scene_without(part, kPoints, scene_rng(100 + seed)), Rng(6));
    EXPECT_FALSE(found.alignment.is_sure() || found.alignment.is_one_of_several()) << seed;
  }
}

/// The bracket's other hand, one with longer legs, and one that is larger all over.
Mesh like_bracket(int kind) {
  Mesh other = bracket();
  if (kind == 0) {
    other.vertices_mm.row(1) *= -1.0;
    other.triangles.row(0).swap(other.triangles.row(1));
    return other;
  }
  return displaced(other, [&](const Eigen::Vector3d& p) -> Eigen::Vector3d {
    if (kind == 1) return {p.x() > 30.0 ? 12.0 : 0.0, 0.0, p.z() > 20.0 ? 10.0 : 0.0};
    return 0.15 * p;
  });
}

TEST(PartInScene, IsNotTakenForOneThatIsLikeIt) {
  for (int seed = 0; seed < scenes(); ++seed) {
    const SceneScan made = scan_in_scene(like_bracket(seed % 3), kPoints, scene_rng(200 + seed));
    const Found found = look_for(bracket(), made, Rng(6));
    EXPECT_FALSE(found.alignment.is_sure() || found.alignment.is_one_of_several()) << seed;
  }
}

TEST(PartInScene, ThatIsThereTwiceIsAmbiguous) {
  const Mesh part = bracket();
  Eigen::Isometry3d beside = Eigen::Isometry3d::Identity();
  beside.rotate(Eigen::AngleAxisd(0.7, Eigen::Vector3d::UnitZ()));
  beside.translation() = Eigen::Vector3d(220, 60, 0);
  const Mesh scene = together({box({-60, -60, -16}, {360, 220, -12}), part, moved(part, beside)});
  ScannerSettings settings;
  settings.points = kPoints;
  const VirtualScan made = scan_of(scene, settings, Rng(7));
  const Alignment a = align(made.scan, SurfaceIndex(part), {}, Rng(8));
  EXPECT_FALSE(a.is_sure() || a.is_one_of_several());
  EXPECT_TRUE(a.found);
  EXPECT_TRUE(a.ambiguous);
  ASSERT_FALSE(a.doubts.empty());
  EXPECT_NE(a.doubts.front().find("another place"), std::string::npos) << a.doubts.front();
}

/// A whole check of a bracket that hangs in front of a wall with a few things, scanned all round.
/// @param where_drawn  it was scanned where it is drawn, and is not searched for
Inspection checked_before_a_wall(const Mesh& made_part, bool where_drawn = false) {
  const Mesh scene = together(
      {made_part, box({-150, -190, -120}, {250, -186, 230}), box({150, -186, 0}, {220, -120, 60}),
       moved(cylinder(14, 180, 48), Eigen::Isometry3d(Eigen::Translation3d(-110, -60, 40)))});
  ScannerSettings settings;
  settings.points = rounds(110'000, 220'000);
  Plan plan;
  if (where_drawn) leave_in_place(plan, settings);
  return inspect(design_of(bracket()), raw_scan(scan_of(scene, settings, Rng(11)).scan), plan,
                 {"test", "2026-01-01", "check"});
}

TEST(PartInScene, PassesWhenItIsGoodAndAllElseIsSetAsideAndCounted) {
  const Inspection out = checked_before_a_wall(bracket());
  EXPECT_LT(out.alignment.overlap, 0.1);
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
  EXPECT_GT(count_of(out.deviations, Reading::TooFar), out.tidy.kept * 9 / 10);
}

TEST(PartInScene, FailsWithABlobOnIt) {
  const Mesh blob = displaced(refined(bracket(), 1.5), [](const Eigen::Vector3d& p) {
    const double from = std::hypot(p.x() - 60.0, p.y() - 25.0);
    const double rise = from < 8.0 ? 1.0 + std::cos(from / 8.0 * 3.14159) : 0.0;
    return Eigen::Vector3d(0, 0, p.z() > 2.9 && p.z() < 3.1 ? rise : 0.0);
  });
  const Inspection out = checked_before_a_wall(blob, !is_long_run());
  EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << reasons_of(out);
  ASSERT_FALSE(out.verdict.regions.empty());
  EXPECT_EQ(out.verdict.regions.front().kind, RegionKind::Proud);
  EXPECT_NEAR(out.verdict.regions.front().peak_mm, 2.0, 0.3);
}

TEST(PartInScene, StaysWherePairsOrTheScannerPutIt) {
  const Mesh part = bracket();
  const SceneScan made = scan_in_scene(part, kPoints, scene_rng(300));
  AlignSettings settings;
  settings.method = AlignMethod::AsScanned;
  const auto as_scanned = [&](const Eigen::Isometry3d& T) {
    Scan placed = made.scan;
    placed.points_mm = (T * placed.points_mm).eval();
    placed.normals = (T.linear() * placed.normals).eval();
    return align(placed, SurfaceIndex(part), settings, Rng(9));
  };
  EXPECT_TRUE(as_scanned(made.T_design_scan).is_sure());
  const Eigen::Isometry3d elsewhere = Eigen::Translation3d(40, 25, 10) * made.T_design_scan;
  EXPECT_FALSE(as_scanned(elsewhere).found);
}

}  // namespace
}  // namespace trammel::test
