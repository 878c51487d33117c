/// Flatness, parallelism, squareness, angles and walls, the whole way: figures against what the
/// part was made with, and what was not seen never passes.

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <iostream>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/inspect.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Of the bracket of shapes.hpp, in this order.
enum Of { kBaseFlat, kUprightFlat, kParallel, kSquare, kBend, kWall };

FormCheck check_of(FormKind kind, const std::string& name, const Vector3d& at,
                   std::optional<Vector3d> other, decltype(FormCheck::allowed) allowed) {
  FormCheck out;
  out.kind = kind;
  out.name = name;
  out.at_mm = at;
  out.other_mm = other;
  out.allowed = std::move(allowed);
  return out;
}

/// The base from above (its smooth face x = 3 … 90), the upright from inside, the base's wall.
Plan plan_of_bracket(double zone_mm = 0.3) {
  const Vector3d base(55, 30, 3), upright(3, 50, 30), under(55, 30, 0);
  Plan plan;
  plan.scan_units = Unit::Mm;
  plan.band = {2.0, 2.0};
  plan.forms = {
      check_of(FormKind::Flatness, "base", base, {}, zone_mm),
      check_of(FormKind::Flatness, "upright", upright, {}, zone_mm),
      check_of(FormKind::Parallelism, "base to underside", base, under, zone_mm),
      check_of(FormKind::Perpendicularity, "upright to base", upright, base, zone_mm),
      check_of(FormKind::Angle, "bend", upright, base, AngleBand{0.5 * kDegree, 0.5 * kDegree}),
      check_of(FormKind::Thickness, "base wall", base, {}, Band{zone_mm, zone_mm})};
  return plan;
}

Inspection checked(const Mesh& real, const Plan& plan, test::ScannerSettings settings = {},
                   std::uint64_t seed = 7, const Mesh& design = test::bracket()) {
  return test::check_made_in_place(design, real, plan, seed, settings);
}

std::string words_of(const Inspection& inspection) {
  std::string text = test::reasons_of(inspection);
  for (const FormResult& form : inspection.verdict.forms)
    text += form_name(form.kind) + " " + form.name + " " + outcome_name(form.outcome) + " " +
            std::to_string(form.actual.value_or(NAN)) + " U " + std::to_string(form.uncertainty) +
            "\n";
  return text;
}

void expect_form(const Inspection& out, Of which, double true_value, Outcome outcome) {
  const FormResult& form = out.verdict.forms.at(which);
  ASSERT_TRUE(form.actual.has_value()) << words_of(out);
  EXPECT_NEAR(*form.actual, true_value, form.uncertainty) << form.name << "\n" << words_of(out);
  EXPECT_EQ(form.outcome, outcome) << form.name << "\n" << words_of(out);
}

/// The bracket, its vertices moved after its edges were made short.
template <typename Displace>
Mesh bent(const Displace& displace) {
  return test::displaced(test::refined(test::bracket(), 4.0), displace);
}

// Noise of 0.03 mm is 0.25 mm from end to end over 10,000 points. Of that no more than 0.1 may be
// read as un-flatness, and U says what is left of it.
TEST(Forms, OfAGoodPartAreMeasuredAndPass) {
  const Inspection out =
      test::check_made(test::bracket(), test::bracket(), plan_of_bracket(), 7, {});
  EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << words_of(out);
  for (const Of zone : {kBaseFlat, kUprightFlat, kParallel, kSquare}) {
    expect_form(out, zone, 0.0, Outcome::Pass);
    EXPECT_LT(*out.verdict.forms[zone].actual, 0.1) << words_of(out);
    EXPECT_LT(out.verdict.forms[zone].uncertainty, 0.2) << words_of(out);
  }
  expect_form(out, kBend, 0.5 * kPi, Outcome::Pass);
  EXPECT_NEAR(*out.verdict.forms[kBend].actual, 0.5 * kPi, 0.03 * kDegree);
  EXPECT_LT(out.verdict.forms[kBend].uncertainty, 0.25 * kDegree) << words_of(out);
  expect_form(out, kWall, 3.0, Outcome::Pass);
  EXPECT_LT(out.verdict.forms[kWall].uncertainty, 0.2) << words_of(out);
}

// The base bows by 0.6 mm along X, both its faces alike: neither flat nor parallel to the mean of
// its underside (which bows as well, so that its plane lies level), but as thick as before.
TEST(Forms, ABowIsNotFlatAndAsThickAsBefore) {
  const Mesh bowed = bent([](const Vector3d& p) -> Vector3d {
    if (p.x() < 3.0) return Vector3d::Zero();
    return {0, 0, 0.6 * (1.0 - std::pow((p.x() - 46.5) / 43.5, 2))};
  });
  const Inspection out = checked(bowed, plan_of_bracket());
  expect_form(out, kBaseFlat, 0.6, Outcome::Fail);
  EXPECT_NEAR(*out.verdict.forms[kBaseFlat].actual, 0.6, 0.08) << words_of(out);
  expect_form(out, kUprightFlat, 0.0, Outcome::Pass);
  expect_form(out, kParallel, 0.6, Outcome::Fail);
  expect_form(out, kWall, 3.0, Outcome::Pass);
  EXPECT_NE(words_of(out).find("Flatness base: 0.6"), std::string::npos) << words_of(out);
}

// The upright leans back by 1°: 91° inside, and 52 mm · tan 1° out of square.
TEST(Forms, ALeanOfOneDegreeIsReadAsSuch) {
  const double lean = std::tan(kDegree);
  const Mesh leaning = bent([&](const Vector3d& p) -> Vector3d {
    return p.x() < 3.001 && p.z() > 3.0 ? Vector3d(-lean * (p.z() - 3.0), 0, 0) : Vector3d::Zero();
  });
  const Inspection out = checked(leaning, plan_of_bracket());
  expect_form(out, kBend, 91.0 * kDegree, Outcome::Fail);
  EXPECT_NEAR(*out.verdict.forms[kBend].actual, 91.0 * kDegree, 0.05 * kDegree) << words_of(out);
  expect_form(out, kSquare, 52.0 * lean, Outcome::Fail);
  expect_form(out, kBaseFlat, 0.0, Outcome::Pass);
  expect_form(out, kUprightFlat, 0.0, Outcome::Pass);
  expect_form(out, kWall, 3.0, Outcome::Pass);
}

// The base's upper face rises by 0.9 mm along Y: flat, not parallel, and 3.0 to 3.9 mm thick.
TEST(Forms, AWedgeIsFlatButNotParallel) {
  const Mesh wedge = bent([](const Vector3d& p) -> Vector3d {
    return std::abs(p.z() - 3.0) < 1e-6 ? Vector3d(0, 0, 0.9 * p.y() / 60.0) : Vector3d::Zero();
  });
  const Inspection out = checked(wedge, plan_of_bracket());
  expect_form(out, kBaseFlat, 0.0, Outcome::Pass);
  expect_form(out, kParallel, 0.9, Outcome::Fail);
  expect_form(out, kWall, 3.9, Outcome::Fail);
  const FormResult& wall = out.verdict.forms[kWall];
  EXPECT_NEAR(*wall.lowest, 3.0, wall.uncertainty);
  EXPECT_NEAR(*wall.highest, 3.9, wall.uncertainty);
}

TEST(Forms, StraysMakeNoFaceUneven) {
  test::ScannerSettings settings;
  settings.stray_share = 0.05;
  const Inspection out = checked(test::bracket(), plan_of_bracket(), settings);
  for (const Of zone : {kBaseFlat, kUprightFlat, kParallel, kSquare})
    expect_form(out, zone, 0.0, Outcome::Pass);
  expect_form(out, kWall, 3.0, Outcome::Pass);
}

// From above alone: neither the underside nor the wall was seen. The base's upper face was.
TEST(Forms, AWallWhoseOtherSideIsUnseenIsUndecided) {
  test::ScannerSettings from_above;
  from_above.views = {Vector3d(0.3, 0.2, 0.9).normalized(), Vector3d(0.5, -0.4, 0.7).normalized(),
                      Vector3d(0.2, 0.6, 0.7).normalized(), Vector3d(0.8, 0.1, 0.6).normalized()};
  const Inspection out = checked(test::bracket(), plan_of_bracket(2.0), from_above);
  for (const Of which : {kParallel, kWall}) {
    EXPECT_EQ(out.verdict.forms[which].outcome, Outcome::Undecided) << words_of(out);
    EXPECT_FALSE(out.verdict.forms[which].actual.has_value()) << words_of(out);
  }
  EXPECT_NE(words_of(out).find("Thickness base wall: of the wall's two sides together: only 0 %"),
            std::string::npos)
      << words_of(out);
  EXPECT_NE(out.verdict.outcome, Outcome::Pass);
}

/// A scan in the design's frame without what lies in a box.
Inspection without(const Vector3d& low, const Vector3d& high, Plan plan) {
  test::ScannerSettings settings;
  settings.random_pose = false;
  plan.method = AlignMethod::AsScanned;
  Scan scan = test::scan_of(test::bracket(), settings, Rng(3)).scan;
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < scan.points_mm.cols(); ++i) {
    const Vector3d p = scan.points_mm.col(i);
    if (!((p.array() > low.array()).all() && (p.array() < high.array()).all())) kept.push_back(i);
  }
  scan.points_mm = Eigen::Matrix3Xd(scan.points_mm(Eigen::all, kept));
  scan.normals = Eigen::Matrix3Xd(scan.normals(Eigen::all, kept));
  return inspect(test::design_of(test::bracket()), test::raw_scan(scan), plan, RunInfo{});
}

// Half of the upper face was not seen, then one patch of 15 × 15 mm: anything may be there.
TEST(Forms, AFaceSeenInPartNeverPasses) {
  for (const double from_x : {46.0, 75.0}) {
    const double from_y = from_x > 70.0 ? 45.0 : -1.0;
    const Inspection out = without({from_x, from_y, 2.0}, {91.0, 61.0, 4.0}, plan_of_bracket(2.0));
    for (const Of which : {kBaseFlat, kParallel, kSquare, kBend, kWall})
      EXPECT_EQ(out.verdict.forms[which].outcome, Outcome::Undecided) << from_x << words_of(out);
    EXPECT_EQ(out.verdict.forms[kUprightFlat].outcome, Outcome::Pass) << from_x << words_of(out);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
  }
}

// Sheet of 0.6 mm where 1.2 is drawn, so near that a point lies as near to the wrong face as to its
// own. With normals it is too thin; without, it may be unknown, but it must not pass. From one side
// no wall is measured at all.
TEST(Forms, ThinSheetIsNotReadOnItsWrongFace) {
  const Mesh design = test::bracket(1.2), thin = test::bracket(0.6);
  Plan plan = plan_of_bracket();
  plan.forms = {check_of(FormKind::Thickness, "sheet", {55, 30, 1.2}, {}, Band{0.25, 0.25})};
  test::ScannerSettings settings;
  settings.points = 20000;
  const Inspection with_normals = checked(thin, plan, settings, 7, design);
  const FormResult& wall = with_normals.verdict.forms.at(0);
  EXPECT_EQ(wall.outcome, Outcome::Fail) << words_of(with_normals);
  EXPECT_NEAR(*wall.actual, 0.6, wall.uncertainty) << words_of(with_normals);
  settings.with_normals = false;
  const Inspection bare = checked(thin, plan, settings, 7, design);
  EXPECT_NE(bare.verdict.forms.at(0).outcome, Outcome::Pass) << words_of(bare);
  settings.views = {Vector3d(0.3, 0.2, 0.9).normalized(), Vector3d(0.5, -0.4, 0.7).normalized(),
                    Vector3d(0.8, 0.1, 0.6).normalized()};
  const Inspection one_side = checked(design, plan, settings, 7, design);
  EXPECT_EQ(one_side.verdict.forms.at(0).outcome, Outcome::Undecided) << words_of(one_side);
}

/// What is measured lies within its U of the truth, and nothing beyond its limits passes.
/// @param left_out  what the truth may lack, for a strip along the edges is not measured
void expect_honest(const FormResult& form, double truth, double left_out,
                   const std::string& words) {
  if (!form.actual) return;
  EXPECT_NEAR(*form.actual, truth, form.uncertainty + left_out) << form.name << "\n" << words;
  const bool within = truth <= *form.most && truth >= form.least.value_or(-1e9);
  EXPECT_NE(form.outcome, within ? Outcome::Fail : Outcome::Pass) << form.name << "\n" << words;
}

// Over bows, leans, sheets, noise, with normals and without. TRAMMEL_FORM_PARTS asks for more of
// them than the few that each run of the tests can bear.
TEST(Forms, NeverPassWhatIsBeyondTheLimit) {
  const char* asked = std::getenv("TRAMMEL_FORM_PARTS");
  const int parts = asked != nullptr ? std::atoi(asked) : test::rounds(2, 3);
  int passed = 0, failed = 0, open = 0;
  for (int part = 0; part < parts; ++part) {
    Rng rng(700 + static_cast<std::uint64_t>(part));
    const double bow = rng.uniform(0.0, 0.6), lean = kDegree * rng.uniform(-1.0, 1.0);
    const double sheet = rng.uniform(2.6, 3.4);
    const auto displace = [&](const Vector3d& p) -> Vector3d {
      if (p.x() > sheet + 1e-6)
        return {0, 0, bow * std::max(0.0, 1.0 - std::pow((p.x() - 46.5) / 43.5, 2))};
      return p.z() > sheet ? Vector3d(-std::tan(lean) * (p.z() - sheet), 0, 0) : Vector3d::Zero();
    };
    test::ScannerSettings settings;
    settings.points = 40000;
    settings.noise_mm = rng.uniform(0.01, 0.05);
    settings.with_normals = part % 2 == 0;
    const Inspection out =
        checked(test::displaced(test::refined(test::bracket(sheet), 4.0), displace),
                plan_of_bracket(), settings, 90 + static_cast<std::uint64_t>(part));
    const auto& forms = out.verdict.forms;
    const std::string words = words_of(out) + "part " + std::to_string(part);
    expect_honest(forms[kBaseFlat], bow, 0.1 * bow, words);
    expect_honest(forms[kUprightFlat], 0.0, 0.0, words);
    expect_honest(forms[kBend], 0.5 * kPi + lean, 0.0, words);
    expect_honest(forms[kWall], sheet, 0.0, words);
    for (const FormResult& form : forms) {
      passed += form.outcome == Outcome::Pass ? 1 : 0;
      failed += form.outcome == Outcome::Fail ? 1 : 0;
      open += form.outcome == Outcome::Undecided ? 1 : 0;
    }
  }
  RecordProperty("passed", passed);
  RecordProperty("failed", failed);
  RecordProperty("undecided", open);
  if (asked != nullptr)
    std::cout << parts << " parts: " << passed << " pass, " << failed << " fail, " << open
              << " undecided\n";
}

TEST(Forms, AreTheSameBytesOnAnyNumberOfThreads) {
  std::string first;
  for (const int threads : {1, 4}) {
    const ThreadLimit limit(threads);
    const std::string json = result_json(checked(test::bracket(), plan_of_bracket()));
    if (first.empty()) first = json;
    EXPECT_TRUE(json == first) << threads;
  }
  EXPECT_NE(first.find("\"perpendicularity\""), std::string::npos);
}

}  // namespace
}  // namespace trammel
