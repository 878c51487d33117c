#include "trammel/judge/judge_form.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "cell_fixture.hpp"
#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kDegree = kPi / 180.0;

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

/// Of the box [0, 60] × [0, 40] × [0, 5] with such readings.
template <typename Deviation>
FormResult judged(const FormCheck& check, const Deviation& deviation, double expanded_mm = 0.01) {
  test::CellFixture f(deviation);
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
  EXPECT_NE(bad.reasons[0].find("is more than 0.100 mm"), std::string::npos) << bad.reasons[0];
  EXPECT_EQ(judged(flat(*good.actual + 0.01), bowed).outcome, Outcome::Undecided);
  EXPECT_EQ(judged(flat(0.5), bowed, 0.2).outcome, Outcome::Undecided);
}

// It leans as a whole: flat, but not parallel.
TEST(JudgeForm, ALeaningFaceIsFlatAndNotParallel) {
  EXPECT_EQ(judged(form_check(FormKind::Flatness, kTop, {}, 0.1), leaning).outcome, Outcome::Pass);
  const FormResult lean = judged(form_check(FormKind::Parallelism, kTop, kBottom, 0.1), leaning);
  EXPECT_EQ(lean.outcome, Outcome::Fail);
  EXPECT_NEAR(*lean.actual, 0.6, 0.03);  // 60 mm · 0.01, less a block
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

TEST(JudgeForm, AngleIsThatOfTheTwoLegs) {
  // 5 mm high ends are too narrow at 1.8 mm blocks to tell a lean along Z: ends against sides.
  const FormCheck angle =
      form_check(FormKind::Angle, {60, 20, 2.5}, kTop, AngleBand{kDegree, kDegree});
  const FormResult narrow = judged(angle, as_drawn);
  EXPECT_EQ(narrow.outcome, Outcome::Undecided);
  EXPECT_NE(narrow.reasons.at(0).find("too small or narrow"), std::string::npos);
  EXPECT_NEAR(*narrow.nominal, 0.5 * kPi, 1e-12);
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

}  // namespace
}  // namespace trammel
