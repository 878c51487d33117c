#include "trammel/judge/describe_flaw.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using Eigen::VectorXd;

/// A face 60 × 40 mm that looks +Z, its longer side along X.
const FlatFace kFace{{30, 20, 0}, {0, 0, 1}, {1, 0, 0}, {0, 1, 0}, 30.0, 20.0, 2400.0};
const Box kPart{{0, 0, -5}, {60, 40, 0}};

Flaw told(FlawKind kind, std::initializer_list<double> unknowns, bool of_wall = true) {
  ExplainedFlaw explained;
  explained.shape.kind = kind;
  explained.shape.face = 0;
  explained.shape.back = of_wall ? 1 : -1;
  explained.shape.bow_u = kind == FlawKind::Bow;
  explained.unknowns.resize(static_cast<Eigen::Index>(unknowns.size()));
  std::copy(unknowns.begin(), unknowns.end(), explained.unknowns.begin());
  return described_flaw(explained, {kFace}, kPart, 0.1);
}

bool says(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(DescribeFlaw, ALeanHasAnAngleAnEndAndAWayBack) {
  const Flaw flaw = told(FlawKind::Lean, {0.6, 0.6, 0.0});  // 0 at x = 0, 1.2 at x = 60
  EXPECT_EQ(flaw.kind, FlawKind::Lean);
  EXPECT_NEAR(flaw.figure_mm, 1.2, 1e-12);
  EXPECT_NEAR(flaw.angle_rad, std::atan(1.2 / 60.0), 1e-12);
  EXPECT_LT((flaw.center_mm - Vector3d(60, 20, 0)).norm(), 1e-12);
  EXPECT_TRUE(says(flaw.words, "1.15°: 1.20 mm towards +Z")) << flaw.words;
  EXPECT_TRUE(says(flaw.words, "about its edge near (0.0, 20.0, 0.0)")) << flaw.words;
  EXPECT_TRUE(says(flaw.action, "Bend the wall back 1.20 mm towards \u2212Z")) << flaw.action;
}

TEST(DescribeFlaw, ALeanThatHardlyTurnsIsAnOffset) {
  EXPECT_EQ(told(FlawKind::Lean, {0.6, 0.02, 0.01}).kind, FlawKind::Offset);
}

TEST(DescribeFlaw, AFaceOffItsPlaceIsNoneThatBowsOrLeansByLittle) {
  const Flaw bowed = told(FlawKind::Bow, {1.0, 0.0, 0.001, 0.03}, false);
  EXPECT_EQ(bowed.kind, FlawKind::Offset);
  EXPECT_NEAR(bowed.figure_mm, 1.01, 1e-12);  // the mean of u² is a third
  EXPECT_EQ(told(FlawKind::Bow, {1.0, 0.0, 0.0, 0.3}, false).kind, FlawKind::Offset);
  EXPECT_EQ(told(FlawKind::Lean, {1.0, 0.1, 0.0}, false).kind, FlawKind::Offset);
  EXPECT_EQ(told(FlawKind::Twist, {1.0, 0.0, 0.0, 0.02}, false).kind, FlawKind::Offset);
  // Hinged at one end, a lean's level is half its figure; held at both, a bow's mean two thirds.
  EXPECT_EQ(told(FlawKind::Lean, {1.0, 1.0, 0.0}, false).kind, FlawKind::Lean);
  EXPECT_EQ(told(FlawKind::Bow, {1.0, 0.0, 0.0, -1.0}, false).kind, FlawKind::Bow);
}

TEST(DescribeFlaw, ABowIsReadInTheMiddleAgainstTheEnds) {
  const Flaw flaw = told(FlawKind::Bow, {0.8, 0.0, 0.0, -0.8});
  EXPECT_EQ(flaw.kind, FlawKind::Bow);
  EXPECT_NEAR(flaw.figure_mm, 0.8, 1e-12);
  EXPECT_TRUE(says(flaw.words, "0.80 mm towards +Z of its ends, over 60 mm along +X"));
  EXPECT_EQ(told(FlawKind::Bow, {0.5, 1.0, 0.0, -0.2}).kind, FlawKind::Lean);
}

TEST(DescribeFlaw, ATwistIsTheAngleBetweenTheEnds) {
  const Flaw flaw = told(FlawKind::Twist, {0.0, 0.0, 0.0, 0.5});
  EXPECT_EQ(flaw.kind, FlawKind::Twist);
  // At either end 1 mm over 40 mm, the one up where the other is down.
  EXPECT_NEAR(flaw.angle_rad, 2.0 * std::atan(1.0 / 40.0), 1e-12);
}

TEST(DescribeFlaw, AFaceOffItsPlaceIsThickOrThinAWallIsMoved) {
  EXPECT_TRUE(says(told(FlawKind::Offset, {0.3}, false).words, "too thick"));
  EXPECT_TRUE(says(told(FlawKind::Offset, {-0.3}, false).action, "Build up 0.30 mm"));
  EXPECT_TRUE(says(told(FlawKind::Offset, {-0.3}, true).words, "too far towards \u2212Z"));
}

TEST(DescribeFlaw, AShrinkGivesTheFactorToPrintAtNextTime) {
  ExplainedFlaw explained;
  explained.shape.kind = FlawKind::Shrink;
  explained.unknowns = VectorXd::Constant(1, -0.01);
  explained.errors = VectorXd::Constant(1, 0.0002);
  const Flaw flaw = described_flaw(explained, {}, kPart, 0.1);
  EXPECT_TRUE(says(flaw.action, "101.01 %")) << flaw.action;  // 1 / 0.99
  EXPECT_NEAR(flaw.figure_mm, -0.6, 1e-12);
  explained.shape.axes = {1};
  const Flaw along_y = described_flaw(explained, {}, kPart, 0.1);
  EXPECT_TRUE(says(along_y.action, "101.01 % along Y")) << along_y.action;
  EXPECT_EQ(along_y.scale, Vector3d(1.0, 0.99, 1.0));
}

TEST(DescribeFlaw, AnAxisThatHardlyGrewIsNotToldBesideAnother) {
  ExplainedFlaw explained;
  explained.shape.kind = FlawKind::Shrink;
  explained.shape.axes = {0, 1};
  explained.unknowns = Eigen::Vector2d(0.0001, 0.02);  // 0.006 mm over 60, 0.8 over 40
  explained.errors = Eigen::Vector2d(0.00001, 0.00001);
  const Flaw flaw = described_flaw(explained, {}, kPart, 0.1);
  EXPECT_EQ(flaw.scale, Vector3d(1.0, 1.02, 1.0));
  EXPECT_FALSE(says(flaw.words, "along X")) << flaw.words;
  EXPECT_TRUE(says(flaw.words, "2.00 % too large along Y (0.80 mm over 40 mm)")) << flaw.words;
  EXPECT_FALSE(says(flaw.action, "along X")) << flaw.action;
}

TEST(DescribeFlaw, AxesThatGrewAlikeAreToldAsOne) {
  ExplainedFlaw explained;
  explained.shape.kind = FlawKind::Shrink;
  explained.shape.axes = {0, 1, 2};
  explained.unknowns = Vector3d(-0.0080, -0.0081, -0.0079);  // 0.006 mm apart at most
  explained.errors = Vector3d::Constant(0.00001);
  const Flaw alike = described_flaw(explained, {}, kPart, 0.1);
  EXPECT_TRUE(says(alike.words, "overall")) << alike.words;
  EXPECT_TRUE(says(alike.action, "100.8")) << alike.action;
  EXPECT_EQ(alike.scale[0], alike.scale[2]);
  explained.unknowns = Vector3d(-0.008, -0.0115, -0.008);  // 0.14 mm over 40
  EXPECT_TRUE(says(described_flaw(explained, {}, kPart, 0.05).words, "along Y"));
}

TEST(DescribeFlaw, DentsAndBlobsHaveSizeAndPlace) {
  LocalFlaw local;
  local.flaw.kind = FlawKind::Dent;
  local.flaw.figure_mm = -0.7;
  local.flaw.center_mm = {10, 20, 0};
  local.flaw.normal = {0, 0, 1};
  local.area_mm2 = 120.0;
  EXPECT_TRUE(says(described_flaw(local).words, "0.70 mm deep, 120 mm², at (10.0, 20.0, 0.0)"));
  local.flaw.of_wall = true;
  const Flaw pressed = described_flaw(local);
  EXPECT_TRUE(says(pressed.words, "is pressed 0.70 mm towards −Z there, over 120 mm²"));
  EXPECT_TRUE(says(pressed.action, "Press the wall at (10.0, 20.0, 0.0) back 0.70 mm towards +Z"));
}

}  // namespace
}  // namespace trammel
