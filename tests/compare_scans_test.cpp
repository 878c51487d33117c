/// The whole way of two scans: pairs of virtual scans of one panel, with and without planted
/// changes.

#include "trammel/compare_scans.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "support/long_run.hpp"
#include "support/panel.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kNoise_mm = 0.05;

test::VirtualScan panel_scan(const test::PanelOptions& panel, std::uint64_t seed,
                             bool normals = true, double unit_mm = 1.0) {
  test::ScannerSettings settings;
  settings.views = test::panel_views();
  settings.points = 25'000;
  settings.noise_mm = kNoise_mm;
  settings.with_normals = normals;
  settings.unit_mm = unit_mm;
  return test::scan_of(test::wing_panel(panel), settings, Rng(seed));
}

RawScan raw(const test::VirtualScan& made, const std::string& name) {
  return {made.scan, name, "", {}};
}

Changes compared(const test::VirtualScan& before, const test::VirtualScan& after,
                 Unit units = Unit::Mm) {
  return compare_scans(raw(before, "old.ply"), raw(after, "new.ply"), {}, units, {});
}

test::PanelOptions pushed(double by_mm) {
  test::PanelOptions options;
  options.pushes = {{{110, 80}, 32.0, by_mm}};
  return options;
}

TEST(CompareScans, FindsPlantedChangesAtTheirSizeAndNothingElse) {
  // A quick few; ./dev prove changes runs fifty seeded pairs and more.
  std::uint64_t seed = 1;
  for (const double size : test::some_of<double>({0.3, -0.5, 5.0, 1.0, -2.0}, 2)) {
    const auto before = panel_scan({}, 500 + seed), after = panel_scan(pushed(size), 600 + seed);
    const Changes changes = compared(before, after);
    EXPECT_EQ(changes.outcome, ChangesOutcome::Changed) << size;
    ASSERT_EQ(changes.changes.size(), 1U) << size;
    const Change& found = changes.changes.front();
    EXPECT_NEAR(found.peak_mm, size, 0.1);
    EXPECT_EQ(found.kind, size > 0.0 ? RegionKind::Proud : RegionKind::Shy);
    const Eigen::Vector3d place = before.T_design_scan * found.center_mm;
    EXPECT_LT((place - test::on_wing_panel(110, 80)).norm(), 12.0) << "in the old scan's frame";
    ++seed;
  }
}

TEST(CompareScans, OfMorePointsThanAreNeededTakesSomeOfAllPlacesAndSaysSo) {
  ChangesSettings settings;
  settings.most_points = 12'000;
  const auto before = panel_scan({}, 701), after = panel_scan(pushed(1.0), 702);
  const Changes changes =
      compare_scans(raw(before, "old.ply"), raw(after, "new.ply"), settings, Unit::Mm, {});
  EXPECT_EQ(changes.old_file.points, static_cast<std::size_t>(before.scan.size()));
  EXPECT_NEAR(static_cast<double>(changes.old_file.tidy.read), 12'000.0, 500.0);
  EXPECT_EQ(changes.new_file.points, static_cast<std::size_t>(after.scan.size()));
  EXPECT_EQ(changes.new_file.file, "new.ply");
  ASSERT_EQ(changes.changes.size(), 1U);
  EXPECT_NEAR(changes.changes.front().peak_mm, 1.0, 0.1);
  const auto said = [&](const std::string& name) {
    return std::any_of(changes.notes.begin(), changes.notes.end(), [&](const std::string& note) {
      return note.find(name + " has ") == 0 && note.find("12,000") != note.npos;
    });
  };
  EXPECT_TRUE(said("old.ply") && said("new.ply"));
}

bool is_told(const Changes& changes, const std::string& words) {
  return std::any_of(changes.notes.begin(), changes.notes.end(), [&](const std::string& note) {
    return note.find(words) != std::string::npos;
  });
}

TEST(CompareScans, SaysUnchangedOfTwoScansOfOneThing) {
  const Changes changes = compared(panel_scan({}, 701), panel_scan({}, 702));
  EXPECT_EQ(changes.outcome, ChangesOutcome::Unchanged);
  EXPECT_TRUE(changes.changes.empty());
  EXPECT_FALSE(is_told(changes, "was taken to be in")) << "the unit was given";
}

TEST(CompareScans, WorksWithoutNormalsAndInInches) {
  const auto before = panel_scan({}, 711, false, 25.4);
  const auto after = panel_scan(pushed(1.0), 712, false, 25.4);
  const Changes changes = compared(before, after, Unit::Inch);
  EXPECT_EQ(changes.outcome, ChangesOutcome::Changed);
  ASSERT_EQ(changes.changes.size(), 1U);
  EXPECT_NEAR(std::abs(changes.changes.front().peak_mm), 1.0, 0.1);
  EXPECT_EQ(changes.old_file.units.mm_per_unit, 25.4);
}

TEST(CompareScans, DoesNotTakeOneFaceOfSheetForTheOtherWithoutNormals) {
  // Of the floor one scan shows both faces, the other the upper one: laid on the lower it explains
  // all but the rims. Before its sides were told it lay 1 mm off, or was called changed.
  test::ScannerSettings settings;
  settings.points = 25'000;
  settings.noise_mm = 0.03;
  settings.with_normals = false;
  const auto before = test::scan_of(test::tray(1.5), settings, Rng(31));
  settings.views = {{0.1, 0.2, 1}, {1, 0.4, 0.7}, {-1, 0.3, 0.6}, {0.2, -1, 0.4}, {0.1, 1, 0.3}};
  const auto after = test::scan_of(test::tray(1.5), settings, Rng(32));
  const Changes changes = compared(before, after);
  EXPECT_TRUE(changes.fit.sides_told_by_sheet);
  EXPECT_NE(changes.outcome, ChangesOutcome::Changed);
  const Eigen::Isometry3d truth = before.T_design_scan.inverse() * after.T_design_scan;
  const Eigen::Matrix3Xd points = after.scan.points_mm;
  EXPECT_LT((changes.fit.T_old_new() * points - truth * points).colwise().norm().maxCoeff(), 0.05);
}

TEST(CompareScans, FindsAPressedPlaceOfThinSheetWithoutNormals) {
  const auto scanned = [](const Mesh& part, std::uint64_t seed) {
    test::ScannerSettings settings;
    settings.points = 50'000;  // 1.3 mm apart, on sheet of 1.5
    settings.noise_mm = 0.03;
    settings.with_normals = false;
    return test::scan_of(part, settings, Rng(seed));
  };
  const Mesh drawn = test::refined(test::tray(1.5), 3.0);
  const Mesh pressed = test::displaced(drawn, [](const Eigen::Vector3d& p) -> Eigen::Vector3d {
    const double r = std::hypot(p.x() - 125.0, p.y() - 45.0) / 32.0;
    const double down = p.z() < 2.0 && r < 1.0 ? -1.2 * std::pow(1.0 - r * r, 2.0) : 0.0;
    return {0.0, 0.0, down};
  });
  if (test::is_long_run()) {
    const Changes none = compared(scanned(drawn, 41), scanned(drawn, 42));
    EXPECT_EQ(none.outcome, ChangesOutcome::Unchanged) << testing::PrintToString(none.reasons);
  }
  const Changes changes = compared(scanned(drawn, 41), scanned(pressed, 43));
  ASSERT_EQ(changes.outcome, ChangesOutcome::Changed);
  double most_shy = 0.0, most_proud = 0.0;
  for (const Change& change : changes.changes) {
    most_shy = std::min(most_shy, change.peak_mm);
    most_proud = std::max(most_proud, change.peak_mm);
  }
  EXPECT_NEAR(most_shy, -1.2, 0.15) << "the upper face";
  EXPECT_NEAR(most_proud, 1.2, 0.15) << "the lower one";
}

TEST(CompareScans, ASecondUnitIsSeenFromTheSizes) {
  const Changes changes =
      compared(panel_scan({}, 721), panel_scan({}, 722, true, 1000.0), Unit::Auto);
  EXPECT_EQ(changes.new_file.units.unit, "m");
  EXPECT_EQ(changes.outcome, ChangesOutcome::Unchanged);
}

TEST(CompareScans, TellsAUnitThatWasOnlyTaken) {
  const Changes guessed = compared(panel_scan({}, 721), panel_scan({}, 722), Unit::Auto);
  EXPECT_TRUE(is_told(guessed, "old.ply was taken to be in mm (from its size alone)"));
  EXPECT_TRUE(is_told(guessed, "new.ply was taken to be in mm (as the old scan)"));
}

TEST(CompareScans, RefusesSizesThatFitNoUnitInItsOwnWords) {
  const auto before = panel_scan({}, 723, true, 25.4);
  try {
    compared(before, panel_scan({}, 724), Unit::Auto);
    FAIL() << "old in inches, new in mm";
  } catch (const Error& error) {
    const std::string text = error.what();
    EXPECT_NE(text.find("about the old scan's size"), std::string::npos) << text;
    EXPECT_NE(text.find("--units"), std::string::npos) << text;
    EXPECT_EQ(text.find("design"), std::string::npos) << text;
    EXPECT_EQ(text.find("plan"), std::string::npos) << text;
  }
}

TEST(CompareScans, GivesTheSameBitsOnAnyNumberOfThreads) {
  const auto before = panel_scan({}, 731), after = panel_scan(pushed(1.0), 732);
  std::vector<Changes> results;
  for (const int threads : test::some_of<int>({1, 4, 2}, 2)) {
    const ThreadLimit limit(threads);
    results.push_back(compared(before, after));
  }
  for (const Changes& other : results) {
    EXPECT_EQ(other.fit.T_old_new().matrix(), results[0].fit.T_old_new().matrix());
    ASSERT_EQ(other.cores.size(), results[0].cores.size());
    for (Eigen::Index i = 0; i < other.cores.size(); ++i)
      ASSERT_EQ(std::isnan(other.cores.change_mm[i]) ? 0.0 : other.cores.change_mm[i],
                std::isnan(results[0].cores.change_mm[i]) ? 0.0 : results[0].cores.change_mm[i]);
    ASSERT_EQ(other.changes.size(), results[0].changes.size());
    EXPECT_EQ(other.changes[0].peak_mm, results[0].changes[0].peak_mm);
  }
}

}  // namespace
}  // namespace trammel
