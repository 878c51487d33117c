#include "trammel/judge/judge_slot.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/slots.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::OrientedPoints;
using test::SlotWall;

/// A plate of 3 mm with slots of 8 × 20 mm at (15, 20), along y, and at (40, 20), along x.
class JudgeSlot : public testing::Test {
 protected:
  JudgeSlot() {
    alignment_.found = alignment_.converged = true;
    alignment_.standard_error_mm = 0.005;
  }

  /// The wall of the second one as it was made.
  static OrientedPoints wall(double off_x = 0.0, double off_y = 0.0, double turn_rad = 0.0,
                             double width_mm = 8.0, double length_mm = 20.0) {
    SlotWall shape;
    shape.center_mm = {40 + off_x, 20 + off_y};
    shape.turn_rad = turn_rad;
    shape.radius_mm = 0.5 * width_mm;
    shape.half_straight_mm = 0.5 * (length_mm - width_mm);
    shape.noise_mm = 0.02;
    return test::slot_wall_of(shape, 800, Rng(1));
  }

  static OrientedPoints sheet_over_it() {
    OrientedPoints out;
    out.points_mm.resize(3, 50 * 20);
    for (int i = 0; i < 50; ++i)
      for (int k = 0; k < 20; ++k)
        out.points_mm.col(20 * i + k) << 28 + 0.5 * i, 15 + 0.5 * k, 3.0;
    out.normals = Vector3d::UnitZ().replicate(1, out.points_mm.cols());
    return out;
  }

  struct Asked {
    const JudgeSlot& test;
    const OrientedPoints& scan;
    Deviations deviations;
    SlotEvidence evidence;
    Asked(const JudgeSlot& of, const OrientedPoints& points)
        : test(of),
          scan(points),
          evidence{of.plate_,
                   of.slots_,
                   of.alignment_,
                   {scan.points_mm, scan.normals, deviations, 0.0, 0.02, 0.5},
                   of.expanded_mm_} {
      deviations.reading.assign(static_cast<std::size_t>(points.points_mm.cols()), Reading::Beside);
      deviations.foot_mm = points.points_mm;
    }
  };

  SlotResult judged(const OrientedPoints& scan) const {
    const Asked asked(*this, scan);
    return judge_slot(check_, asked.evidence);
  }

  Mesh plate_ = test::slotted_plate(3.0, {{{15, 20}, 8, 20, 90}, {{40, 20}, 8, 20, 0}});
  std::vector<DesignSlot> slots_ = find_slots(plate_).slots;
  Alignment alignment_;
  double expanded_mm_ = 0.06;
  SlotCheck check_{"A", {40, 20, 3}, 0.6, Limits{7.7, 8.3}, Limits{19.7, 20.3}};
};

TEST_F(JudgeSlot, AGoodOnePasses) {
  const SlotResult out = judged(wall());
  EXPECT_EQ(out.outcome, Outcome::Pass) << (out.reasons.empty() ? "" : out.reasons.front());
  EXPECT_EQ(out.state, HoleState::Measured);
  EXPECT_TRUE(out.reasons.empty());
  EXPECT_LT((out.nominal_mm - Vector3d(40, 20, 1.5)).norm(), 1e-9);
  EXPECT_NEAR(out.nominal_width_mm, 8.0, 1e-9);
  EXPECT_NEAR(out.nominal_length_mm, 20.0, 1e-9);
  EXPECT_NEAR(out.depth_mm, 3.0, 1e-9);
  EXPECT_TRUE(out.is_through);
  EXPECT_NEAR(*out.width_mm, 8.0, 0.01);
  EXPECT_NEAR(*out.length_mm, 20.0, 0.02);
  EXPECT_LT(*out.position_mm, 0.03);
  EXPECT_GT(*out.conformity, 0.999);
}

TEST_F(JudgeSlot, EachFaultFailsByItsOwnFigure) {
  const auto reason = [&](const OrientedPoints& scan) {
    const SlotResult out = judged(scan);
    EXPECT_EQ(out.outcome, Outcome::Fail);
    return out.reasons.size() == 1 ? out.reasons.front() : std::to_string(out.reasons.size());
  };
  // Along and across alike, and by its turn: the ends of the middle line, 6 mm off, move 0.6 mm.
  EXPECT_EQ(reason(wall(0.5, 0.0)).substr(0, 9), "position ");
  EXPECT_EQ(reason(wall(0.0, -0.5)).substr(0, 9), "position ");
  EXPECT_EQ(reason(wall(0.0, 0.0, 0.1)).substr(0, 9), "position ");
  EXPECT_NE(reason(wall(0, 0, 0, 7.5)).find("is less than 7.70 mm"), std::string::npos);
  EXPECT_EQ(reason(wall(0, 0, 0, 8.5)).substr(0, 6), "width ");
  EXPECT_NE(reason(wall(0, 0, 0, 8.0, 21.0)).find("is more than 20.30 mm"), std::string::npos);
  EXPECT_EQ(reason(wall(0, 0, 0, 8.0, 19.0)).substr(0, 7), "length ");
}

TEST_F(JudgeSlot, WhatIsTooLongIsNotOffPlace) {
  check_.length_mm.reset();
  const SlotResult out = judged(wall(0, 0, 0, 8.0, 22.0));
  EXPECT_EQ(out.outcome, Outcome::Pass);
  EXPECT_NEAR(*out.length_mm, 22.0, 0.03);
}

TEST_F(JudgeSlot, IsUndecidedWithinUOfALimit) {
  // U of the width is about twice that of a reading: 0.12 mm.
  const SlotResult narrow = judged(wall(0, 0, 0, 7.78));
  EXPECT_EQ(narrow.outcome, Outcome::Undecided);
  ASSERT_FALSE(narrow.reasons.empty());
  EXPECT_NE(narrow.reasons[0].find("too near to the limit 7.70 mm"), std::string::npos);
  EXPECT_EQ(judged(wall(0.27, 0.0)).outcome, Outcome::Undecided);  // position 0.54 of 0.6
}

TEST_F(JudgeSlot, AWidthThatIsNarrowInOnePlaceDoesNotPass) {
  OrientedPoints scan = wall();
  for (Eigen::Index i = 0; i < scan.points_mm.cols(); ++i)
    if (std::abs(scan.points_mm(0, i) - 40) < 2.0)
      scan.points_mm(1, i) -= scan.points_mm(1, i) > 20 ? 0.12 : -0.12;
  EXPECT_NE(judged(scan).outcome, Outcome::Pass);
}

TEST_F(JudgeSlot, OneThatIsNotCutOrUnseenNeverPasses) {
  const SlotResult closed = judged(sheet_over_it());
  EXPECT_EQ(closed.outcome, Outcome::Fail);
  EXPECT_EQ(closed.state, HoleState::Closed);
  EXPECT_EQ(closed.reasons.at(0), "a scanned surface lies across it");
  EXPECT_FALSE(closed.width_mm || closed.length_mm || closed.position_mm);
  const SlotResult unseen = judged({});
  EXPECT_EQ(unseen.outcome, Outcome::Undecided);
  EXPECT_EQ(unseen.state, HoleState::Unseen);
  EXPECT_FALSE(unseen.reasons.empty());
}

TEST_F(JudgeSlot, IsUndecidedWhereThePlanOrThePoseIsInDoubt) {
  check_.at_mm = {40, 20, 60};
  EXPECT_EQ(judged(wall()).reasons.at(0), "the design has no slot near the point given");
  EXPECT_EQ(judged(wall()).nominal_length_mm, 0.0);
  check_.at_mm = {40, 20, 3};
  alignment_.ambiguous = true;
  const SlotResult out = judged(wall());
  EXPECT_EQ(out.outcome, Outcome::Undecided);
  EXPECT_NE(out.reasons.at(0).find("which slot this is"), std::string::npos);
  EXPECT_FALSE(out.width_mm);
}

TEST_F(JudgeSlot, IsListedWhereThePlanAsksNothing) {
  check_ = {"A", {40, 20, 3}};
  EXPECT_EQ(judged(wall(1.0)).outcome, Outcome::Listed);
}

TEST_F(JudgeSlot, OthersAreListedWithoutThoseOfThePlan) {
  const OrientedPoints scan = wall();
  const Asked asked(*this, scan);
  const auto all = other_slots(asked.evidence, {}, true);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].name, "");
  EXPECT_EQ(all[0].outcome, Outcome::Listed);
  const auto rest = other_slots(asked.evidence, {judge_slot(check_, asked.evidence)}, true);
  ASSERT_EQ(rest.size(), 1U);
  EXPECT_LT((rest[0].nominal_mm - Vector3d(15, 20, 1.5)).norm(), 1e-9);
  EXPECT_EQ(rest[0].state, HoleState::Unseen);
  EXPECT_FALSE(rest[0].reasons.empty());
  const auto unsure = other_slots(asked.evidence, {}, false);
  EXPECT_EQ(unsure[1].state, HoleState::Unseen);
  EXPECT_EQ(unsure[1].reasons.at(0), "the scan's place on the design is not sure");
}

TEST(SlotUncertainty, IsAsStated) {
  SlotErrors errors;
  errors.end_mm = 0.03;
  errors.width_mm = 0.02;
  errors.length_mm = 0.05;
  const SlotUncertainty u = slot_uncertainty(errors, 0.04, 0.1);
  EXPECT_NEAR(u.position_mm, 2.0 * std::sqrt(0.1 * 0.1 + 0.1 * 0.1), 1e-12);  // 2·0.05 = 0.1
  EXPECT_NEAR(u.width_mm, std::hypot(0.04, 0.2), 1e-12);
  EXPECT_NEAR(u.length_mm, std::hypot(0.1, 0.2), 1e-12);
}

}  // namespace
}  // namespace trammel
