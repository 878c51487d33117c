#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "report/sample_inspection.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using AnyJson = nlohmann::json;

void expect_names(const AnyJson& object, const std::vector<std::string>& names) {
  for (const std::string& name : names)
    EXPECT_TRUE(object.contains(name)) << name;
}

TEST(ResultJson, HasEveryNameThatOtherProgramsRead) {
  const AnyJson json = AnyJson::parse(result_json(test::failing_inspection(4.0)));
  expect_names(json, {"schema", "version", "verdict", "reasons", "design", "scan", "alignment",
                      "coverage", "deviation", "regions", "holes", "scale"});
  expect_names(json["design"], {"file", "sha256", "triangles", "size"});
  expect_names(json["scan"], {"file", "sha256", "points", "kept", "unit_scale"});
  expect_names(json["alignment"], {"method", "scan_to_design", "rms", "ambiguous", "converged"});
  expect_names(json["coverage"], {"seen_fraction", "seen_area", "design_area"});
  expect_names(json["deviation"],
               {"count", "mean", "stddev", "rms", "min", "max", "p05", "median", "p95"});
  expect_names(json["regions"][0],
               {"id", "kind", "peak", "mean", "area", "center", "zone", "verdict"});
  expect_names(json["holes"][0], {"name", "position", "offset", "diameter", "verdict"});
  expect_names(json["scale"], {"uniform", "uncertainty"});
}

TEST(ResultJson, HoldsTheValuesOfTheInspection) {
  const Inspection inspection = test::failing_inspection(4.0);
  const AnyJson json = AnyJson::parse(result_json(inspection));
  EXPECT_EQ(json["schema"], 1);
  EXPECT_EQ(json["version"], "0.1.0");
  EXPECT_EQ(json["verdict"], "fail");
  EXPECT_EQ(json["scan"]["points"], inspection.tidy.read);
  EXPECT_EQ(json["scan"]["kept"], inspection.tidy.kept);
  EXPECT_EQ(json["design"]["size"], AnyJson({90.0, 60.0, 55.0}));
  EXPECT_EQ(json["regions"][0]["kind"], "proud");
  EXPECT_EQ(json["regions"][1]["kind"], "shy");
  EXPECT_EQ(json["holes"][1]["offset"], AnyJson({0.05, 1.2, 0.0}));
  EXPECT_DOUBLE_EQ(json["scale"]["uncertainty"].get<double>(), 0.0001);  // k = 2
  const Eigen::Matrix4d T = inspection.alignment.T_design_scan.matrix();
  for (int r = 0; r < 4; ++r) {
    for (int c = 0; c < 4; ++c)
      EXPECT_EQ(json["alignment"]["scan_to_design"][r][c].get<double>(), T(r, c));
  }
}

TEST(ResultJson, APoseThatIsNotHeldDoesNotLookLikeOne) {
  Inspection inspection = test::passing_inspection(4.0);
  const auto alignment = [&] { return AnyJson::parse(result_json(inspection))["alignment"]; };
  EXPECT_EQ(alignment()["converged"], true);
  EXPECT_EQ(alignment()["ambiguous"], false);
  inspection.alignment.free_directions = {"sliding along x"};
  EXPECT_EQ(alignment()["ambiguous"], true);
  inspection.alignment.found = false;
  EXPECT_EQ(alignment()["converged"], false);
  inspection.alignment.overlap = 0.0;
  EXPECT_TRUE(alignment()["rms"].is_null());
}

TEST(ResultJson, ScaleAlongEachAxisHasItsUncertainty) {
  Inspection inspection = test::passing_inspection(4.0);
  inspection.alignment.scale.axes = {0.99, 1.0, 1.0};
  inspection.alignment.scale.axes_standard_error = {0.0005, 0.001, 0.0};
  const AnyJson axes = AnyJson::parse(result_json(inspection))["scale"]["axes"];
  ASSERT_EQ(axes.size(), 3U);
  EXPECT_EQ(axes[0]["scale"], 0.99);
  EXPECT_EQ(axes[0]["uncertainty"], 0.001);  // k = 2
  EXPECT_TRUE(axes[2]["scale"].is_null());   // nothing holds it
  EXPECT_TRUE(axes[2]["uncertainty"].is_null());
}

TEST(ResultJson, TellsTheVerdictInEachPoseOfASymmetricPart) {
  Inspection inspection = test::passing_inspection(4.0);
  EXPECT_EQ(AnyJson::parse(result_json(inspection))["judged_in_poses"], AnyJson::array());
  inspection.verdict.in_poses = {{"", Outcome::Pass, ""}, {"turned", Outcome::Fail, "hole"}};
  const AnyJson poses = AnyJson::parse(result_json(inspection))["judged_in_poses"];
  ASSERT_EQ(poses.size(), 2U);
  EXPECT_EQ(poses[1]["words"], "turned");
  EXPECT_EQ(poses[1]["verdict"], "fail");
  EXPECT_EQ(poses[1]["reason"], "hole");
}

TEST(ResultJson, TellsWhatHeldThePart) {
  Inspection inspection = test::passing_inspection(4.0);
  EXPECT_EQ(AnyJson::parse(result_json(inspection))["alignment"]["pairs"], AnyJson::array());
  inspection.alignment.held_by = "datums A (face), B (hole) and C (hole)";
  inspection.alignment.pairs = {{{1, 2, 3}, {4, 5, 6}, 0.25, 0.5}};
  inspection.alignment.datums = {{"A", "face", {7, 8, 9}, 3, 0.75, 0.125, 3}, {"B", "", {1, 1, 1}}};
  const AnyJson json = AnyJson::parse(result_json(inspection))["alignment"];
  EXPECT_EQ(json["held_by"], inspection.alignment.held_by);
  EXPECT_EQ(json["pairs"][0]["scan"], AnyJson({4.0, 5.0, 6.0}));
  EXPECT_EQ(json["pairs"][0]["residual"], 0.25);
  EXPECT_EQ(json["pairs"][0]["left"], 0.5);
  EXPECT_EQ(json["datums"][0]["form"], 0.125);
  EXPECT_EQ(json["datums"][0]["motions"], 3);
  EXPECT_TRUE(json["datums"][1]["form"].is_null());
}

TEST(ResultJson, TellsWhatWentWrong) {
  Inspection inspection = test::failing_inspection(4.0);
  Flaw flaw;
  flaw.kind = FlawKind::Lean;
  flaw.words = "The wall leans";
  flaw.figure_mm = 1.2;
  flaw.share = 0.75;
  inspection.verdict.flaws = {flaw};
  const AnyJson json = AnyJson::parse(result_json(inspection));
  EXPECT_EQ(json["flaws"][0]["kind"], "lean");
  EXPECT_EQ(json["flaws"][0]["words"], "The wall leans");
  EXPECT_EQ(json["flaws"][0]["figure"], 1.2);
  EXPECT_EQ(json["flaws"][0]["share"], 0.75);
}

TEST(ResultJson, WhatWasNotMeasuredIsNullAndNeverZero) {
  const AnyJson json = AnyJson::parse(result_json(test::undecided_inspection(4.0)));
  EXPECT_TRUE(json["holes"][1]["position"].is_null());
  EXPECT_TRUE(json["holes"][1]["offset"].is_null());
  EXPECT_TRUE(json["holes"][1]["diameter"].is_null());
  EXPECT_EQ(json["holes"][1]["verdict"], "undecided");
  Inspection blind = test::undecided_inspection(8.0);
  blind.verdict.summary = {};
  blind.alignment.scale = {};
  const AnyJson none = AnyJson::parse(result_json(blind));
  EXPECT_TRUE(none["deviation"]["mean"].is_null());
  EXPECT_TRUE(none["scale"]["uniform"].is_null());
}

TEST(ResultJson, NamesNoTimeNoFolderAndNoCommandLine) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.plan.file = "/some/where/plan.toml";
  inspection.plan.design_path = "/some/where/bracket.stl";
  const std::string text = result_json(inspection);
  EXPECT_EQ(text.find("/some/where"), std::string::npos);
  EXPECT_EQ(text.find("2026"), std::string::npos);
  EXPECT_EQ(text.find("trammel check"), std::string::npos);
}

TEST(ResultJson, IsTheSameOnAnyNumberOfThreads) {
  const Inspection inspection = test::failing_inspection(4.0);
  std::string one, two;
  {
    const ThreadLimit limit(1);
    one = result_json(inspection);
  }
  {
    const ThreadLimit limit(2);
    two = result_json(inspection);
  }
  EXPECT_EQ(one, two);
}

TEST(ResultJson, ARegionTooSmallToJudgeIsListed) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.verdict.regions[2].outcome = Outcome::Listed;
  EXPECT_EQ(AnyJson::parse(result_json(inspection))["regions"][2]["verdict"], "listed");
}

TEST(ResultJson, TellsDistancesAndWhatWasMeasured) {
  Inspection inspection = test::passing_inspection(6.0);
  EXPECT_EQ(AnyJson::parse(result_json(inspection))["distances"], AnyJson::array());
  inspection.verdict.distances = {test::sample_distance(36.5, Outcome::Fail),
                                  test::sample_distance({}, Outcome::Undecided)};
  const AnyJson json = AnyJson::parse(result_json(inspection))["distances"];
  EXPECT_EQ(json[0]["name"], "pitch");
  EXPECT_EQ(json[0]["verdict"], "fail");
  EXPECT_EQ(json[0]["nominal"], 36.06);
  EXPECT_EQ(json[0]["actual"], 36.5);
  EXPECT_EQ(json[0]["uncertainty"], 0.07);
  EXPECT_EQ(json[0]["class"], "ISO 2768-m");
  EXPECT_EQ(json[0]["measured_as"], "from hole A to hole B, between the axes, across them");
  EXPECT_TRUE(json[1]["actual"].is_null());
  EXPECT_TRUE(json[1]["uncertainty"].is_null());
  EXPECT_EQ(json[1]["reasons"][0], "hole B: its wall was not seen");
}

TEST(ResultJson, ListsTheOtherHolesOfTheDesign) {
  Inspection inspection = test::passing_inspection(6.0);
  OtherHole measured, closed;
  measured.state = HoleState::Measured;
  measured.center_mm = {1, 2, 3};
  measured.drawn_diameter_mm = 5.0;
  measured.diameter_mm = 5.1;
  measured.offset_mm = Eigen::Vector3d(0.1, 0, 0);
  measured.standard_error_mm = 0.01;
  closed.state = HoleState::Closed;
  closed.reason = "a scanned surface lies across it";
  inspection.verdict.other_holes = {measured, closed};
  const AnyJson json = AnyJson::parse(result_json(inspection))["other_holes"];
  EXPECT_EQ(json[0]["state"], "measured");
  EXPECT_EQ(json[0]["nominal"], AnyJson({1.0, 2.0, 3.0}));
  EXPECT_EQ(json[0]["nominal_diameter"], 5.0);
  EXPECT_EQ(json[0]["diameter"], 5.1);
  EXPECT_EQ(json[1]["state"], "closed");
  EXPECT_TRUE(json[1]["diameter"].is_null());
  EXPECT_TRUE(json[1]["standard_error"].is_null());
  EXPECT_EQ(json[1]["reason"], "a scanned surface lies across it");
}

}  // namespace
}  // namespace trammel
