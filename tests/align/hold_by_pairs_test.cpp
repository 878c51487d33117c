#include "trammel/align/hold_by_pairs.hpp"

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"

namespace trammel {
namespace {

test::ScannerSettings with_points(std::size_t points) {
  test::ScannerSettings settings;
  settings.points = points;
  return settings;
}

/// Pairs at places of the design, picked in the scan with an error.
AlignSettings picked(const test::VirtualScan& made, const std::vector<Eigen::Vector3d>& places,
                     double wrong_mm, Rng rng) {
  AlignSettings settings;
  settings.method = AlignMethod::Pairs;
  for (const Eigen::Vector3d& place : places)
    settings.pairs.push_back(
        {place, made.T_design_scan.inverse() * place + wrong_mm * rng.direction()});
  return settings;
}

double pairs_error_mm(const Alignment& a, const test::VirtualScan& made, const Mesh& part) {
  return test::corner_error_mm(a.T_design_scan.inverse(), made.T_design_scan.inverse(),
                               bounding_box(part.vertices_mm));
}

/// On the rim, at three holes of the flange.
std::vector<Eigen::Vector3d> flange_places(const Mesh& flange) {
  const Box box = bounding_box(flange.vertices_mm);
  const double r = 0.5 * box.size_mm().x();
  return {{r, 0, box.low_mm.z()}, {0, r, box.low_mm.z()}, {-0.6 * r, -0.8 * r, box.high_mm.z()}};
}

bool is_held(const Alignment& a) {
  return a.found && a.converged && !a.ambiguous && a.free_directions.empty() && a.doubts.empty();
}

TEST(HoldByPairs, SettlesWhichTurnOfAFlangeIsMeant) {
  if (!test::is_long_run()) {
    GTEST_SKIP() << "HeldParts.FlangeInMetres… tries it; ./dev prove tests runs this one";
  }
  const Mesh flange = test::flange(6);
  const SurfaceIndex design(flange);
  for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2}, 1)) {
    const auto made = test::scan_of(flange, with_points(30000), Rng(seed));
    const Alignment alone = align(made.scan, design, {}, Rng(2));
    EXPECT_TRUE(alone.ambiguous);
    const Alignment held =
        align(made.scan, design, picked(made, flange_places(flange), 0.4, Rng(seed)), Rng(2));
    EXPECT_TRUE(is_held(held)) << (held.doubts.empty() ? "" : held.doubts.front());
    EXPECT_LT(pairs_error_mm(held, made, flange),
              0.05);  // far better than the pairs: it was refined
    EXPECT_EQ(held.method, "pairs");
    ASSERT_EQ(held.pairs.size(), 3U);
    EXPECT_NEAR(held.pairs[0].left_mm, 0.4, 0.06);  // the pick's own error is what is left
  }
}

TEST(HoldByPairs, TakesThePairsAsTheyAreWhenNotRefined) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = test::scan_of(part, with_points(20000), Rng(4));
  AlignSettings settings =
      picked(made, {{0, 0, 0}, {90, 0, 0}, {90, 60, 0}, {0, 60, 55}}, 0.1, Rng(5));
  settings.refine = false;
  const Alignment held = align(made.scan, design, settings, Rng(6));
  EXPECT_TRUE(is_held(held));
  for (const PairResidual& pair : held.pairs)
    EXPECT_EQ(pair.residual_mm, pair.left_mm);
  const double off = pairs_error_mm(held, made, part);
  EXPECT_GT(off, 0.005);
  // Errors of 0.1 mm in all directions: 0.058 mm a coordinate.
  EXPECT_LT(off, 4.0 * 0.058 * 2.0);
  EXPECT_GT(held.standard_error_mm, 0.1 * off);
}

TEST(HoldByPairs, DoesNotBelievePairsThatAreMixedUp) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = test::scan_of(part, with_points(20000), Rng(7));
  for (const bool refine : {true, false}) {
    AlignSettings settings = picked(made, {{0, 0, 0}, {90, 0, 0}, {0, 60, 55}}, 0.1, Rng(8));
    settings.refine = refine;
    std::swap(settings.pairs[0].scan_mm, settings.pairs[1].scan_mm);
    const Alignment held = align(made.scan, design, settings, Rng(9));
    EXPECT_FALSE(held.found);
    EXPECT_FALSE(held.doubts.empty());
  }
}

TEST(HoldByPairs, DoubtsPairsThatAgreeAmongThemselvesButNotWithThePart) {
  // All three picked one bolt hole on: they fit each other, and the flange, but a bracket has no
  // such turn: the true pose is far from them.
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = test::scan_of(part, with_points(20000), Rng(10));
  AlignSettings settings = picked(made, {{0, 0, 0}, {90, 0, 0}, {90, 60, 0}}, 0.05, Rng(11));
  const Eigen::Isometry3d shift(Eigen::Translation3d(6, 4, 0));
  for (ScanPair& pair : settings.pairs)
    pair.design_mm = shift * pair.design_mm;
  const Alignment held = align(made.scan, design, settings, Rng(12));
  EXPECT_FALSE(is_held(held));
}

TEST(HoldByPairs, LeavesTheTurnsThatThePairsDoNotExclude) {
  // Picks that are centimetres off tell one turn of the flange from no other.
  const Mesh flange = test::flange(18);
  const SurfaceIndex design(flange);
  const auto made = test::scan_of(flange, with_points(30000), Rng(13));
  const Alignment held =
      align(made.scan, design, picked(made, flange_places(flange), 8.0, Rng(14)), Rng(15));
  EXPECT_FALSE(is_held(held));
}

}  // namespace
}  // namespace trammel
