#include "trammel/judge/diagnosis.hpp"

#include <gtest/gtest.h>

#include <numeric>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

Diagnosis diagnosed(const test::CellFixture& f) {
  return diagnose({f.flat, f.tree.cells(), f.readings, f.plan, 0.05, f.tidy.spacing_mm});
}

TEST(Diagnosis, AGoodPartIsToldNothing) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.03; });
  EXPECT_TRUE(diagnosed(f).flaws.empty());
}

TEST(Diagnosis, ABowedPlateIsToldWithItsShareAndExplainsItsCells) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    return n.z() * (1.0 - std::pow((p.x() - 30.0) / 30.0, 2));
  });
  const Diagnosis diagnosis = diagnosed(f);
  ASSERT_EQ(diagnosis.flaws.size(), 1u);
  const Flaw& flaw = diagnosis.flaws[0];
  EXPECT_EQ(flaw.kind, FlawKind::Bow);
  EXPECT_TRUE(flaw.of_wall);
  EXPECT_NEAR(std::abs(flaw.figure_mm), 1.0, 0.01);
  EXPECT_GT(flaw.share, 0.99);
  EXPECT_LT((diagnosis.explained_mm - f.readings.deviation_mm).cwiseAbs().maxCoeff(), 0.05);
}

TEST(Diagnosis, ABowAndABlobAreToldApartAndShareTheMisfit) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    const double bow = n.z() * 0.5 * (1.0 - std::pow((p.x() - 30.0) / 30.0, 2));
    return bow + (test::in_square(p, n, 8) ? 0.8 : 0.0);
  });
  const Diagnosis diagnosis = diagnosed(f);
  ASSERT_EQ(diagnosis.flaws.size(), 2u);
  double shares = 0.0;
  bool has_blob = false;
  for (const Flaw& flaw : diagnosis.flaws) {
    shares += flaw.share;
    has_blob = has_blob || flaw.kind == FlawKind::Blob;
    if (flaw.kind == FlawKind::Blob) {
      EXPECT_NEAR(flaw.figure_mm, 0.8, 0.03);
    }
  }
  EXPECT_TRUE(has_blob);
  EXPECT_GT(shares, 0.98);
  EXPECT_LE(shares, 1.0 + 1e-9);
}

// Told as a plate too long at one end and too short at the other.
TEST(Diagnosis, AnUprightThatThePoseFollowedIsOneFlaw) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return p.y() < 5.001 ? -0.8 * n.x() : 0.0; },
      test::extrude({{{0, 0}, {80, 0}, {80, 5}, {43, 5}, {43, 65}, {38, 65}, {38, 5}, {0, 5}}},
                    60.0));
  const Diagnosis diagnosis = diagnosed(f);
  ASSERT_EQ(diagnosis.flaws.size(), 1u);
  const Flaw& flaw = diagnosis.flaws[0];
  EXPECT_EQ(flaw.kind, FlawKind::Offset);
  EXPECT_TRUE(flaw.of_wall);
  EXPECT_NEAR(std::abs(flaw.figure_mm), 0.8, 0.02);
  EXPECT_NEAR(std::abs(flaw.center_mm.x() - 40.5), 2.5, 0.01);
  EXPECT_GT(flaw.share, 0.98);
}

TEST(Diagnosis, ADentIsNoDeeperThanItsWall) {
  for (const double depth : {4.5, 5.5}) {  // the plate is 5 mm thick
    const test::CellFixture f([&](const Vector3d& p, const Vector3d& n) {
      return test::in_square(p, n, 8) ? -depth : 0.0;
    });
    EXPECT_EQ(diagnosed(f).flaws.empty(), depth > 5.0) << depth;
  }
}

TEST(Diagnosis, WhatDoesNotMatterIsNotTold) {
  // A bow of 0.08 mm: less than a fifth of the limit of 0.5.
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    return n.z() * 0.08 * (1.0 - std::pow((p.x() - 30.0) / 30.0, 2));
  });
  EXPECT_TRUE(diagnosed(f).flaws.empty());
}

// A blob and a dent were fitted to what was not there.
TEST(Diagnosis, NoFlawIsFittedToWhatIsMissing) {
  test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 8) ? -3.0 : 0.0; });
  ASSERT_FALSE(diagnosed(f).flaws.empty());
  f.readings.missing.assign(f.readings.seen.size(), 0);
  for (Eigen::Index c = 0; c < f.readings.deviation_mm.size(); ++c)
    if (f.readings.deviation_mm[c] < -2.0) f.readings.missing[static_cast<std::size_t>(c)] = 1;
  EXPECT_TRUE(diagnosed(f).flaws.empty());
}

// "Build up 0.50 mm on the face" and "take the blob of 0.54 mm off" of a strip as drawn.
TEST(Diagnosis, AStripThatIsAsDrawnIsNoBlobOfAFaceThatIsShy) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return n.z() > 0.9 && p.x() > 4.0 ? -0.5 : 0.0; });
  const Diagnosis diagnosis = diagnosed(f);
  ASSERT_FALSE(diagnosis.flaws.empty());
  for (const Flaw& flaw : diagnosis.flaws)
    EXPECT_NE(flaw.kind, FlawKind::Blob) << flaw.words;
}

// "The corner is bent 0.42 mm", where it lay as drawn: the bow beside it reached farther than the
// bulge that it stood for.
TEST(Diagnosis, ACornerThatABulgeDoesNotReachIsNotBent) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    const double across = std::pow(std::cos(M_PI * (p.x() - 30.0) / 60.0), 2);
    return n.z() * across * p.y() / 40.0;
  });
  const Diagnosis diagnosis = diagnosed(f);
  EXPECT_FALSE(diagnosis.flaws.empty());
  for (const Flaw& flaw : diagnosis.flaws)
    EXPECT_NE(flaw.kind, FlawKind::Corner) << flaw.words;
}

// "Take 0.04 mm off" at U = 0.25: what was left of a bow that turned out to be none.
TEST(Diagnosis, NoFigureIsToldThatDoesNotMatter) {
  for (const double lean : {0.03, 0.05, 0.07}) {
    const test::CellFixture f([&](const Vector3d& p, const Vector3d& n) {
      const double u = (p.x() - 30.0) / 30.0;
      return n.z() > 0.9 ? lean * u + 0.09 * u * u : 0.0;
    });
    for (const Flaw& flaw : diagnosed(f).flaws)
      EXPECT_GE(std::abs(flaw.figure_mm), 0.1) << flaw.words;  // a fifth of the band
  }
}

}  // namespace
}  // namespace trammel
