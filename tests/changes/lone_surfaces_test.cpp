#include "trammel/changes/lone_surfaces.hpp"

#include <gtest/gtest.h>

#include <vector>

#include "changes/made_scans.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

// Each of these was called unchanged: what one scan alone shows was looked at only where the other
// shows all around it.
TEST(LoneSurfaces, OfABlockTakenOffOrPutOnForbidUnchanged) {
  const Scan with = test::MadeScan(1).plate().block({60, 40, 0}, {100, 80, 50}).scan(),
             without = test::MadeScan(2).plate().scan();
  const Changes off = test::changes_between_made(with, without),
                on = test::changes_between_made(without, with);
  EXPECT_NE(off.outcome, ChangesOutcome::Unchanged);
  EXPECT_NE(on.outcome, ChangesOutcome::Unchanged);
  ASSERT_FALSE(off.open_places.empty());
  EXPECT_TRUE(off.open_places[0].in_old);
  ASSERT_FALSE(on.open_places.empty());
  EXPECT_FALSE(on.open_places[0].in_old);
}

TEST(LoneSurfaces, OfAThinTabAndOfABlockAtTheEdgeForbidUnchanged) {
  const Scan bare = test::MadeScan(3).plate().scan();
  const Scan tab = test::MadeScan(4).plate().block({60, 40, 0}, {62, 90, 50}).scan();
  const Changes off = test::changes_between_made(tab, bare);
  EXPECT_EQ(off.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(test::reasons_say(off, "it may have been taken away since"));
  const Changes on = test::changes_between_made(bare, tab);
  EXPECT_EQ(on.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(test::reasons_say(on, "it may have been added since"));
  const Scan corner = test::MadeScan(5).plate().block({130, 90, 0}, {160, 120, 60}).scan();
  EXPECT_NE(test::changes_between_made(corner, bare).outcome, ChangesOutcome::Unchanged);
  EXPECT_NE(test::changes_between_made(bare, corner).outcome, ChangesOutcome::Unchanged);
}

/// The new edge of the sheet shows, 4 mm high.
TEST(LoneSurfaces, OfAPieceCutOffForbidUnchangedButAStripOfACylinderDoesNot) {
  const Scan whole = test::MadeScan(6).plate(160, true).scan();
  const auto cut_off = [](double cut) {
    return test::MadeScan(7)
        .plate(160 - cut, true)
        .face({160 - cut, 0, -4}, {0, 120, 0}, {0, 0, 4})
        .scan();
  };
  for (const double cut : {20.0, 40.0}) {
    const Changes shorter = test::changes_between_made(whole, cut_off(cut));
    EXPECT_EQ(shorter.outcome, ChangesOutcome::Undecided) << cut;
    EXPECT_TRUE(test::reasons_say(shorter, "Only the old scan shows a surface")) << cut;
    EXPECT_EQ(test::changes_between_made(cut_off(cut), whole).outcome, ChangesOutcome::Undecided)
        << cut;
  }
  // 25 points lie in a cylinder of 8 mm.
  EXPECT_EQ(test::changes_between_made(whole, test::MadeScan(8).plate(155, true).scan()).outcome,
            ChangesOutcome::Unchanged);
}

TEST(LoneSurfaces, AreNotTheFarSideOfWhatWasSeenAgain) {
  const Scan both = test::MadeScan(9).plate(160, true).scan(),
             above = test::MadeScan(10).plate(160, false).scan();
  // Half of the old surface was seen again: enough only when so little is asked for.
  EXPECT_TRUE(test::changes_between_made(both, above).open_places.empty());
  EXPECT_TRUE(test::changes_between_made(above, both).open_places.empty());
  EXPECT_EQ(test::changes_between_made(above, both).outcome, ChangesOutcome::Unchanged);
}

TEST(LoneSurfaces, AreNotWhatTheOtherScansSurfaceHides) {
  // A bay 10 mm deep and 90 mm wide, closed but for a slit: its floor was seen by one scan alone.
  const auto bay = [](std::uint64_t seed) {
    return test::MadeScan(seed).plate(160).face({20, 15, 10}, {120, 0, 0}, {0, 90, 0});
  };
  const Scan deep = bay(11).scan(), shaded = bay(12).scan();
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < shaded.size(); ++i) {
    const Vector3d p = shaded.points_mm.col(i);
    const bool below =
        p.z() < 5.0 && std::abs(p.x() - 80.0) < 50.0 && std::abs(p.y() - 60.0) < 35.0;
    if (!below) kept.push_back(i);
  }
  Scan seen = shaded;
  seen.points_mm = shaded.points_mm(Eigen::all, kept);
  seen.normals = shaded.normals(Eigen::all, kept);
  EXPECT_TRUE(test::changes_between_made(deep, seen).open_places.empty());
  EXPECT_EQ(test::changes_between_made(deep, seen).outcome, ChangesOutcome::Unchanged);
}

}  // namespace
}  // namespace trammel
