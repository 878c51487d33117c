#include "trammel/changes/places_amid.hpp"

#include <gtest/gtest.h>

#include "changes/made_scans.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A plate of which both sides are seen, with a slot through it.
Scan plate_with_slot(double width_mm, std::uint64_t seed) {
  Scan out = test::MadeScan(seed).plate(160, true).scan();
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < out.size(); ++i) {
    const Vector3d p = out.points_mm.col(i);
    if (p.x() < 40 || p.x() > 120 || std::abs(p.y() - 60) > 0.5 * width_mm) kept.push_back(i);
  }
  out.points_mm = Eigen::Matrix3Xd(out.points_mm(Eigen::all, kept));
  out.normals = Eigen::Matrix3Xd(out.normals(Eigen::all, kept));
  return out;
}

// All of these were called unchanged: they lie within one cylinder, 8 mm, of what both scans show,
// and that was taken for the border of a scan.
TEST(PlacesAmid, AreANarrowSlotCutOrFilled) {
  const Scan whole = plate_with_slot(0, 1);
  for (const double width : {6.0, 8.0, 11.0}) {
    const Scan cut = plate_with_slot(width, 2);
    const Changes made = test::changes_between_made(whole, cut);
    EXPECT_EQ(made.outcome, ChangesOutcome::Undecided) << width;
    EXPECT_TRUE(test::reasons_say(made, "there may be a hole now")) << width;
    const Changes filled = test::changes_between_made(cut, whole);
    EXPECT_EQ(filled.outcome, ChangesOutcome::Undecided) << width;
    EXPECT_TRUE(test::reasons_say(filled, "a hole may have been closed")) << width;
  }
}

TEST(PlacesAmid, AreALowRibAndAThinStud) {
  const Scan bare = test::MadeScan(3).plate().scan();
  for (const double height : {4.0, 8.0, 12.0}) {
    const Scan rib = test::MadeScan(4).plate().block({40, 59, 0}, {120, 60.5, height}).scan();
    EXPECT_EQ(test::changes_between_made(bare, rib).outcome, ChangesOutcome::Undecided) << height;
    EXPECT_EQ(test::changes_between_made(rib, bare).outcome, ChangesOutcome::Undecided) << height;
  }
  const Scan stud = test::MadeScan(5).plate().block({78, 58, 0}, {82, 62, 14}).scan();
  EXPECT_TRUE(test::reasons_say(test::changes_between_made(bare, stud), "added since"));
}

TEST(PlacesAmid, AreWhatStoodFreeBeforeASurface) {
  const Scan bare = test::MadeScan(6).plate().scan();
  const auto strip = [](std::uint64_t seed) {
    return test::MadeScan(seed)
        .plate()
        .face({40, 56, 40}, {80, 0, 0}, {0, 7, 0})
        .face({40, 56, 37}, {0, 7, 0}, {80, 0, 0})
        .scan();
  };
  EXPECT_TRUE(test::reasons_say(test::changes_between_made(strip(7), bare), "taken away since"));
}

/// The other scan looked from above only.
TEST(PlacesAmid, AreNotTheEdgesOfASheetNorTheWallOfAStep) {
  const auto plate = [](std::uint64_t seed) { return test::MadeScan(seed).plate(); };
  const Scan above = plate(8).scan();
  const Scan edges = plate(9)
                         .face({0, 0, -4}, {160, 0, 0}, {0, 0, 4})
                         .face({160, 0, -4}, {0, 120, 0}, {0, 0, 4})
                         .face({160, 120, -4}, {-160, 0, 0}, {0, 0, 4})
                         .scan();
  EXPECT_EQ(test::changes_between_made(above, edges).outcome, ChangesOutcome::Unchanged);
  EXPECT_EQ(test::changes_between_made(edges, above).outcome, ChangesOutcome::Unchanged);
  const auto step = [&](std::uint64_t seed) {
    return plate(seed).face({160, 0, 5}, {100, 0, 0}, {0, 120, 0});
  };
  const Scan seen = step(10).face({160, 0, 0}, {0, 0, 5}, {0, 120, 0}).scan();
  EXPECT_EQ(test::changes_between_made(step(11).scan(), seen).outcome, ChangesOutcome::Unchanged);
}

}  // namespace
}  // namespace trammel
