#include "trammel/judge/judge_form.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"
#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

FormCheck form_check(FormKind kind, const Vector3d& at, std::optional<Vector3d> other,
                     decltype(FormCheck::allowed) allowed) {
  FormCheck out;
  out.kind = kind;
  out.name = "f";
  out.at_mm = at;
  out.other_mm = other;
  out.allowed = std::move(allowed);
  return out;
}

Mesh plate() {
  return test::box({0, 0, 0}, {60, 40, 5});
}

/// Of a design with such readings.
template <typename Deviation>
FormResult judged(const FormCheck& check, const Deviation& deviation, double expanded_mm = 0.01,
                  const Mesh& design = plate()) {
  test::CellFixture f(deviation, design);
  f.plan.forms = {check};
  const auto out = judge_forms(
      {f.plan, f.index, f.tree.cells(), f.readings, expanded_mm, 0.0, MeasureFaceSettings{}});
  EXPECT_EQ(out.size(), 1U);
  return out.front();
}

double as_drawn(const Vector3d&, const Vector3d&) {
  return 0.0;
}
/// The upper face bows by 0.3 mm along X.
double bowed(const Vector3d& p, const Vector3d& n) {
  return n.z() > 0.9 ? 0.3 * (1.0 - std::pow((p.x() - 30) / 30, 2)) : 0.0;
}
/// The upper face leans by 0.01 along X, about its middle.
double leaning(const Vector3d& p, const Vector3d& n) {
  return n.z() > 0.9 ? 0.01 * (p.x() - 30) : 0.0;
}
/// The end at x = 60 leans by 0.05 about Y, the base by nothing.
double leaning_end(const Vector3d& p, const Vector3d& n) {
  return n.x() > 0.9 ? 0.05 * (p.y() - 20) : 0.0;
}

const Vector3d kTop(10, 10, 5), kBottom(30, 20, 0);

TEST(JudgeForm, FlatnessIsHeldAgainstItsZone) {
  const auto flat = [](double width) { return form_check(FormKind::Flatness, kTop, {}, width); };
  const FormResult good = judged(flat(0.5), bowed);
  EXPECT_EQ(good.outcome, Outcome::Pass);
  EXPECT_NEAR(*good.actual, 0.3, 0.03);
  EXPECT_NEAR(good.uncertainty, std::sqrt(2.0) * 0.01, 1e-12);
  EXPECT_GT(*good.conformity, 0.99);
  const FormResult bad = judged(flat(0.1), bowed);
  EXPECT_EQ(bad.outcome, Outcome::Fail);
  ASSERT_EQ(bad.reasons.size(), 1U);
  EXPECT_NE(bad.reasons[0].find("is more than 0.10 mm"), std::string::npos) << bad.reasons[0];
  EXPECT_EQ(judged(flat(*good.actual + 0.01), bowed).outcome, Outcome::Undecided);
  EXPECT_EQ(judged(flat(0.5), bowed, 0.2).outcome, Outcome::Undecided);
}

// It leans as a whole: flat, but not parallel.
TEST(JudgeForm, ALeaningFaceIsFlatAndNotParallel) {
  EXPECT_EQ(judged(form_check(FormKind::Flatness, kTop, {}, 0.1), leaning).outcome, Outcome::Pass);
  const FormResult lean = judged(form_check(FormKind::Parallelism, kTop, kBottom, 0.1), leaning);
  EXPECT_EQ(lean.outcome, Outcome::Fail);
  EXPECT_NEAR(*lean.actual, 0.6, 0.04);  // 60 mm · 0.01, less two strips and a block
  const FormResult good = judged(form_check(FormKind::Parallelism, kTop, kBottom, 0.1), as_drawn);
  EXPECT_EQ(good.outcome, Outcome::Pass) << good.uncertainty;
  // √(2) U, and U √2 / 60 · 60 and / 40 · 40 of the datum's tilt, but for the blocks' width.
  EXPECT_NEAR(good.uncertainty, 0.01 * std::sqrt(6.0), 0.003);
}

TEST(JudgeForm, WhatLeansWithItsDatumIsParallel) {
  const auto both = [](const Vector3d& p, const Vector3d& n) {
    return (n.z() > 0.9 ? 0.01 : n.z() < -0.9 ? -0.01 : 0.0) * (p.x() - 30);
  };
  const FormResult out = judged(form_check(FormKind::Parallelism, kTop, kBottom, 0.1), both);
  EXPECT_EQ(out.outcome, Outcome::Pass);
  EXPECT_LT(*out.actual, 1e-4);
}

TEST(JudgeForm, AFaceTooNarrowToLeanHasNoAngle) {
  const FormCheck angle =
      form_check(FormKind::Angle, {60, 20, 2.5}, kTop, AngleBand{kDegree, kDegree});
  const FormResult narrow = judged(angle, as_drawn);
  EXPECT_EQ(narrow.outcome, Outcome::Undecided);
  EXPECT_NE(narrow.reasons.at(0).find("too small or narrow"), std::string::npos);
  EXPECT_NEAR(*narrow.nominal, 0.5 * kPi, 1e-12);
}

/// The upright of the bracket (outside x = 0, inside x = 3) leans back by a slope of 0.01 over Z.
double upright_leaning(const Vector3d& p, const Vector3d& n) {
  return p.x() < 3.01 && p.z() > 3.01 ? -0.01 * n.x() * (p.z() - 3.0) : 0.0;
}
const Vector3d kBaseTop(50, 30, 3), kUpright(3, 30, 45);

// Inside of the bend the legs open: 90° + 0.573°; both faces lie inside, so that is the angle of
// the normals as well.
TEST(JudgeForm, AngleIsThatOfTheTwoLegs) {
  const FormCheck angle =
      form_check(FormKind::Angle, kUpright, kBaseTop, AngleBand{0.4 * kDegree, 0.4 * kDegree});
  const FormResult lean = judged(angle, upright_leaning, 0.01, test::bracket());
  ASSERT_TRUE(lean.actual.has_value());
  EXPECT_NEAR(*lean.actual, 0.5 * kPi + std::atan(0.01), 1e-4);
  EXPECT_EQ(lean.outcome, Outcome::Fail);
  EXPECT_EQ(lean.reasons.at(0), "90.573° is more than 90.40°");
  const FormResult good = judged(angle, as_drawn, 0.01, test::bracket());
  EXPECT_EQ(good.outcome, Outcome::Pass);
  EXPECT_NEAR(*good.actual, 0.5 * kPi, 1e-9);
  // √2 U over 55 and 87 mm or so, each less a block, in squares.
  EXPECT_NEAR(good.uncertainty, std::sqrt(2.0) * 0.01 * std::hypot(1.0 / 50, 1.0 / 85), 5e-5);
}

TEST(JudgeForm, AngleFarFromTheDesignsIsAnotherAngle) {
  FormCheck angle =
      form_check(FormKind::Angle, kUpright, kBaseTop, AngleBand{0.4 * kDegree, 0.4 * kDegree});
  angle.nominal = 45.0 * kDegree;
  const FormResult out = judged(angle, as_drawn, 0.01, test::bracket());
  EXPECT_EQ(out.outcome, Outcome::Undecided);
  EXPECT_EQ(out.reasons.at(0), "the design has 90.00° there");
}

// 0.01 over the upright's 52 mm above the base is 0.52 mm out of square.
TEST(JudgeForm, PerpendicularityIsTheZoneSquareToTheDatum) {
  const auto square = [](double width) {
    return form_check(FormKind::Perpendicularity, kUpright, kBaseTop, width);
  };
  const FormResult lean = judged(square(0.3), upright_leaning, 0.01, test::bracket());
  ASSERT_TRUE(lean.actual.has_value()) << lean.reasons.at(0);
  EXPECT_NEAR(*lean.actual, 0.52, 0.03);
  EXPECT_EQ(lean.outcome, Outcome::Fail);
  const FormResult good = judged(square(0.3), as_drawn, 0.01, test::bracket());
  EXPECT_EQ(good.outcome, Outcome::Pass);
  EXPECT_LT(*good.actual, 1e-6);
  const FormResult off =
      judged(form_check(FormKind::Perpendicularity, kTop, kBottom, 0.3), as_drawn);
  EXPECT_EQ(off.reasons.at(0), "the two faces are not square in the design");
}

FormCheck thickness(const Vector3d& at, double nominal_mm, double either_mm) {
  FormCheck check = form_check(FormKind::Thickness, at, {}, Band{either_mm, either_mm});
  check.nominal = nominal_mm;
  return check;
}

// Thin in one corner alone: the local size there is what is judged, not the mean.
TEST(JudgeForm, ThicknessIsJudgedAtItsWorstPlace) {
  const auto worn = [](const Vector3d& p, const Vector3d& n) {
    return n.z() > 0.9 && p.x() > 50 && p.y() > 30 ? -0.4 : 0.0;
  };
  const FormResult bad = judged(thickness(kTop, 5.0, 0.2), worn);
  EXPECT_EQ(bad.outcome, Outcome::Fail);
  EXPECT_NEAR(*bad.actual, 4.6, 1e-9);
  EXPECT_NEAR(*bad.lowest, 4.6, 1e-9);
  EXPECT_NEAR(*bad.highest, 5.0, 1e-9);
  EXPECT_EQ(bad.reasons.at(0), "4.60 mm is less than 4.80 mm");
  EXPECT_NEAR(bad.uncertainty, 0.02, 1e-12);  // 2 U
  EXPECT_EQ(judged(thickness(kTop, 5.0, 0.5), worn).outcome, Outcome::Pass);
  EXPECT_EQ(judged(thickness(kTop, 5.0, 0.41), worn).outcome, Outcome::Undecided);
  // Off the other way round: 5.0 is the thick end of a nominal 4.6.
  EXPECT_NEAR(*judged(thickness(kTop, 4.6, 0.2), worn).actual, 5.0, 1e-9);
}

// Points of one side read on the other: no wall is thinner than nothing.
TEST(JudgeForm, AWallInsideOutIsNotMeasured) {
  const auto swapped = [](const Vector3d&, const Vector3d& n) {
    return std::abs(n.z()) > 0.9 ? -2.6 : 0.0;
  };
  const FormResult out = judged(thickness(kTop, 5.0, 0.2), swapped);
  EXPECT_EQ(out.outcome, Outcome::Undecided);
  EXPECT_FALSE(out.actual.has_value());
}

TEST(JudgeForm, AWallSeenFromOneSideIsUndecided) {
  const auto no_back = [](const Vector3d&, const Vector3d& n) {
    return n.z() < -0.9 ? test::kUnseen : 0.0;
  };
  const FormResult out = judged(thickness(kTop, 5.0, 2.0), no_back);
  EXPECT_EQ(out.outcome, Outcome::Undecided);
  EXPECT_FALSE(out.actual.has_value());
  EXPECT_EQ(out.reasons.at(0), "of the wall's two sides together: only 0 % of it was seen");
  // Four fifths of the back: measured, but no pass.
  const auto most = [](const Vector3d& p, const Vector3d& n) {
    return n.z() < -0.9 && p.x() > 48 ? test::kUnseen : 0.0;
  };
  const FormResult open = judged(thickness(kTop, 5.0, 2.0), most);
  EXPECT_EQ(open.outcome, Outcome::Undecided);
  EXPECT_TRUE(open.actual.has_value());
}

TEST(JudgeForm, ParallelFacesHaveNoAngleAndOthersNoParallelism) {
  const FormResult flat =
      judged(form_check(FormKind::Angle, kTop, kBottom, AngleBand{0.1, 0.1}), as_drawn);
  EXPECT_EQ(flat.outcome, Outcome::Undecided);
  EXPECT_EQ(flat.reasons.at(0), "the two faces are parallel in the design");
  const FormResult across =
      judged(form_check(FormKind::Parallelism, kTop, Vector3d(60, 20, 2.5), 0.1), leaning_end);
  EXPECT_EQ(across.outcome, Outcome::Undecided);
  EXPECT_EQ(across.reasons.at(0), "the two faces are not parallel in the design");
}

TEST(JudgeForm, ClassesCountByTheLongerSideOfTheFace) {
  GeneralTolerance steps{"X-K", 0.0, {{50.0, 0.1}, {100.0, 0.4}}};
  const FormResult out = judged(form_check(FormKind::Flatness, kTop, {}, steps), as_drawn);
  EXPECT_EQ(out.most, 0.4);
  EXPECT_EQ(out.tolerance_class, "X-K");
  EXPECT_EQ(out.outcome, Outcome::Pass);
  steps.steps = {{50.0, 0.1}};
  const FormResult none = judged(form_check(FormKind::Flatness, kTop, {}, steps), as_drawn);
  EXPECT_EQ(none.outcome, Outcome::Undecided);
  EXPECT_EQ(none.reasons.at(0), "X-K gives no tolerance for 60.0 mm");
}

// Seven tenths seen, more than the plan's least, and flat there: the rest may be anything. What is
// bent there already is bent whatever the rest is.
TEST(JudgeForm, APartOfAFaceFailsButNeverPasses) {
  const auto part = [](const Vector3d& p, const Vector3d&) {
    return p.x() < 42 ? 0.0 : test::kUnseen;
  };
  const FormCheck flat = form_check(FormKind::Flatness, kTop, {}, 0.2);
  const FormResult open = judged(flat, part);
  EXPECT_EQ(open.outcome, Outcome::Undecided);
  EXPECT_TRUE(open.actual.has_value());
  EXPECT_FALSE(open.conformity.has_value());
  EXPECT_NE(open.reasons.at(0).find("as far as it was seen it is within, but of the face at"),
            std::string::npos)
      << open.reasons.at(0);
  const auto bent_part = [](const Vector3d& p, const Vector3d&) {
    return p.x() < 42 ? 0.5 * std::pow((p.x() - 21) / 21, 2) : test::kUnseen;
  };
  EXPECT_EQ(judged(flat, bent_part).outcome, Outcome::Fail);
}

TEST(JudgeForm, UnseenOrMissingFacesAreUndecided) {
  const auto half = [](const Vector3d& p, const Vector3d&) {
    return p.x() < 30 ? 0.0 : test::kUnseen;
  };
  const FormCheck flat = form_check(FormKind::Flatness, kTop, {}, 5.0);
  EXPECT_EQ(judged(flat, half).outcome, Outcome::Undecided);
  EXPECT_FALSE(judged(flat, half).actual.has_value());
  const FormCheck nowhere = form_check(FormKind::Flatness, {30, 20, 30}, {}, 5.0);
  EXPECT_EQ(judged(nowhere, as_drawn).outcome, Outcome::Undecided);
  const auto no_datum = [](const Vector3d&, const Vector3d& n) {
    return n.z() < -0.9 ? test::kUnseen : 0.0;
  };
  const FormResult out = judged(form_check(FormKind::Parallelism, kTop, kBottom, 1.0), no_datum);
  EXPECT_EQ(out.outcome, Outcome::Undecided);
  EXPECT_NE(out.reasons.at(0).find("only 0 % of it was seen"), std::string::npos);
}

// The flatness of a face with a hole too many was the hole's diameter.
TEST(JudgeForm, WhatIsMissingHasNoFormAndKeepsTheFaceFromPassing) {
  test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 3.5) ? -5.0 : 0.0; });
  f.plan.forms = {form_check(FormKind::Flatness, kTop, {}, 0.3)};
  f.readings.missing.assign(f.readings.seen.size(), 0);
  for (Eigen::Index c = 0; c < f.readings.deviation_mm.size(); ++c)
    if (f.readings.deviation_mm[c] < -4.0) f.readings.missing[static_cast<std::size_t>(c)] = 1;
  const auto out =
      judge_forms({f.plan, f.index, f.tree.cells(), f.readings, 0.01, 0.0, MeasureFaceSettings{}});
  ASSERT_TRUE(out.front().actual.has_value());
  EXPECT_LT(*out.front().actual, 0.01);
  EXPECT_EQ(out.front().outcome, Outcome::Undecided);
  ASSERT_EQ(out.front().reasons.size(), 1U);
  EXPECT_NE(out.front().reasons[0].find("are missing"), std::string::npos);
}

}  // namespace
}  // namespace trammel
