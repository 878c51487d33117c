/// Pins and bosses of the plan, the whole way: right, off place, too thin, not there, hardly seen.

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/inspect.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::normals_by_turns, test::reasons_of;

struct Pin {
  Vector3d foot_mm{20, 16, 4};
  double diameter_mm = 8.0, height_mm = 10.0;  ///< none of no height
};

/// A plate of 80 × 50 × 4 mm with one corner cut off, a pin, and a hole of 9 mm.
Mesh pinned_plate(const Pin& pin) {
  const Vector3d kUp = Vector3d::UnitZ();
  const test::Loop outline{{0, 0, 0}, {80, 0, 0}, {80, 50, 0}, {22, 50, 0}, {0, 34, 0}};
  const test::Loop hole = test::circle({58, 30, 0}, kUp, 9, 48);
  const test::Loop foot = test::circle(pin.foot_mm, kUp, pin.diameter_mm, 64);
  std::vector<test::Loop> above{test::shifted(outline, 4 * kUp), test::shifted(hole, 4 * kUp)};
  test::SolidBuilder solid;
  solid.wall(outline, 4 * kUp);
  solid.hole_wall(hole, 4 * kUp);
  solid.face({outline, hole}, -kUp);
  if (pin.height_mm > 0.0) {
    above.push_back(foot);
    solid.wall(foot, pin.height_mm * kUp);
    solid.face({test::shifted(foot, pin.height_mm * kUp)}, kUp);
  }
  solid.face(above, kUp);
  return solid.build();
}

/// The pin and the hole are asked for, within a band too wide to fail for what they do. In the
/// usual run the plate lies where it was drawn.
Inspection checked(const Pin& made, bool with_normals,
                   std::vector<Vector3d> views = std::vector<Vector3d>()) {
  test::ScannerSettings settings;
  settings.points = test::rounds(30'000, 40'000);
  settings.with_normals = with_normals;
  settings.views = std::move(views);
  Plan plan;
  plan.scan_units = Unit::Mm;
  plan.band = {1.5, 1.5};
  HoleCheck hole;
  hole.name = "hole";
  hole.at_mm = {58, 30, 4};
  hole.position_mm = 0.6;
  HoleCheck pin;
  pin.kind = RoundKind::Pin;
  pin.name = "dowel";
  pin.at_mm = {20, 16, 14};
  pin.position_mm = 0.6;
  pin.diameter_mm = Limits{7.6, 8.4};
  plan.holes = {hole, pin};
  return test::check_made_in_place(pinned_plate({}), pinned_plate(made), plan, 8, settings);
}

TEST(Pins, AGoodOnePassesAndIsMeasuredAsItWasMade) {
  for (const bool with_normals : normals_by_turns(1)) {
    Pin made;
    made.diameter_mm = 8.12;
    made.foot_mm.x() += 0.1;
    const Inspection out = checked(made, with_normals);
    EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
    const HoleResult& pin = out.verdict.holes.at(1);
    ASSERT_TRUE(pin.diameter_mm && pin.offset_mm) << reasons_of(out);
    EXPECT_NEAR(*pin.diameter_mm, 8.12, 0.03);
    EXPECT_LT((*pin.offset_mm - Vector3d(0.1, 0, 0)).norm(), 0.03);
    EXPECT_EQ(pin.kind, RoundKind::Pin);
    EXPECT_FALSE(pin.free_width_mm.has_value());
  }
}

TEST(Pins, OneOffItsPlaceOrTooThinFailsByItsName) {
  int turn = 0;
  Pin moved, thin;
  moved.foot_mm += Vector3d(0.0, 0.8, 0.0);
  thin.diameter_mm = 7.2;
  for (const Pin& made : {moved, thin}) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      const Inspection out = checked(made, with_normals);
      EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << reasons_of(out);
      EXPECT_NE(reasons_of(out).find("Pin dowel: "), std::string::npos) << reasons_of(out);
      EXPECT_EQ(out.verdict.holes.at(0).outcome, Outcome::Pass) << reasons_of(out);
    }
  }
}

TEST(Pins, OneThatIsNotThereNeverPasses) {
  Pin none;
  none.height_mm = 0.0;
  for (const bool with_normals : normals_by_turns(0)) {
    const Inspection out = checked(none, with_normals);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
    EXPECT_NE(out.verdict.holes.at(1).outcome, Outcome::Pass) << reasons_of(out);
  }
}

// From straight above its wall is not seen, from one side half of it.
TEST(Pins, OneThatIsHardlySeenIsUndecided) {
  for (const std::vector<Vector3d>& views :
       {std::vector<Vector3d>{{0, 0, 1}}, std::vector<Vector3d>{{0.6, 0, 0.8}}}) {
    const Inspection out = checked({}, true, views);
    EXPECT_EQ(out.verdict.holes.at(1).outcome, Outcome::Undecided) << reasons_of(out);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
  }
}

}  // namespace
}  // namespace trammel
