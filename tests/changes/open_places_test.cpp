#include "trammel/changes/open_places.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <utility>

#include "changes/made_scans.hpp"
#include "support/wall_points.hpp"
#include "trammel/base/random.hpp"
#include "trammel/changes/measure_changes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Core points 2 mm apart on [0, 60]², level; those `only` picks are shown by this scan alone.
class OpenPlaces : public testing::Test {
 protected:
  void SetUp() override {
    constexpr int kAlong = 31;
    cores_.points_mm.resize(3, kAlong * kAlong);
    for (int i = 0; i < cores_.points_mm.cols(); ++i)
      cores_.points_mm.col(i) << 2.0 * (i % kAlong), 2.0 * (i / kAlong), 0.0;
    cores_.normals = Vector3d::UnitZ().replicate(1, cores_.points_mm.cols());
    cores_.area_mm2.setConstant(cores_.size(), 4.0);
    cores_.change_mm.setZero(cores_.size());
    scales_.core_mm = 2.0;
    scales_.cylinder_mm = 2.8;
  }

  std::vector<OpenPlace> found(const std::function<bool(const Vector3d&)>& only) {
    std::vector<std::uint8_t> is_only;
    for (Eigen::Index i = 0; i < cores_.size(); ++i)
      is_only.push_back(only(cores_.points_mm.col(i)) ? 1 : 0);
    return open_places_among(cores_, is_only, {points_, PointIndex(points_), others_}, scales_,
                             20.0, sides_known_);
  }

  CorePoints cores_;
  Eigen::Matrix3Xd others_ = Eigen::Matrix3Xd(3, 0);
  Eigen::Matrix3Xd points_ = Vector3d(0, 0, 500);  ///< of the other scan
  ChangeScales scales_;
  bool sides_known_ = true;
};

bool in_disc(const Vector3d& p, double radius_mm = 6.0) {
  return std::hypot(p.x() - 30.0, p.y() - 30.0) < radius_mm;
}

TEST_F(OpenPlaces, AreHolesInWhatBothScansShow) {
  const auto places = found([](const Vector3d& p) { return in_disc(p); });
  ASSERT_EQ(places.size(), 1U);
  EXPECT_LT((places[0].center_mm - Vector3d(30, 30, 0)).norm(), 0.5);
  EXPECT_GT(places[0].normal.z(), 0.99);
  // Cells within 6 mm, and 0.15 of a cylinder around them.
  EXPECT_NEAR(places[0].area_mm2, 3.14159 * 6.4 * 6.4, 25.0);
  EXPECT_TRUE(found([](const Vector3d&) { return false; }).empty());
  EXPECT_TRUE(found([](const Vector3d& p) { return in_disc(p, 0.5); }).empty()) << "too small";
  // Its middle would usually hold 25 · (2 · 0.7 · 5.98 / 2.8)² = 220 points.
  const auto disc = [](const Vector3d& p) { return in_disc(p); };
  points_ = Vector3d(30, 30, 0).replicate(1, 30);
  EXPECT_TRUE(found(disc).empty()) << "thinly scanned";
  points_ = Vector3d(30, 30, 0).replicate(1, 5);
  EXPECT_EQ(found(disc).size(), 1U) << "strays";
  points_ = Vector3d(30, 30, -3.5).replicate(1, 30);
  EXPECT_EQ(found(disc).size(), 1U) << "a floor behind it";
}

TEST_F(OpenPlaces, AreNotTheEndsOfAScanNorWhatAnEdgeBounds) {
  EXPECT_TRUE(found([](const Vector3d& p) { return p.x() > 40.0; }).empty());
  EXPECT_TRUE(
      found([](const Vector3d& p) { return std::hypot(p.x(), p.y() - 30.0) < 9.0; }).empty());
  // A face of its own: all around it the surface turns down.
  for (Eigen::Index i = 0; i < cores_.size(); ++i)
    if (!in_disc(cores_.points_mm.col(i))) cores_.normals.col(i) = Vector3d(0.8, 0, 0.6);
  EXPECT_TRUE(found([](const Vector3d& p) { return in_disc(p); }).empty());
}

/// A lid of points 1.5 mm apart over the disc.
Eigen::Matrix3Xd lid(double above_mm) {
  Eigen::Matrix3Xd out(3, 41 * 41);
  for (int i = 0; i < out.cols(); ++i)
    out.col(i) << 1.5 * (i % 41), 1.5 * (i / 41), above_mm;
  return out;
}

TEST_F(OpenPlaces, AreNotWhereSomethingStandsBeforeThem) {
  const auto disc = [](const Vector3d& p) { return in_disc(p); };
  others_ = lid(12.0);
  EXPECT_TRUE(found(disc).empty());
  others_ = lid(-12.0);
  EXPECT_EQ(found(disc).size(), 1U) << "behind the surface it hides nothing";
  others_ = lid(200.0);
  EXPECT_EQ(found(disc).size(), 1U) << "a scanner goes between";
  others_ = lid(12.0);
  sides_known_ = false;
  EXPECT_EQ(found(disc).size(), 1U) << "the other side may be the open one";
}

// Without sides the two faces of a filled hole in thin sheet hang together.
TEST_F(OpenPlaces, AreNotInTheirOwnWay) {
  const Eigen::Index count = cores_.size();
  cores_.points_mm.conservativeResize(3, 2 * count);
  cores_.points_mm.rightCols(count) = cores_.points_mm.leftCols(count);
  cores_.points_mm.rightCols(count).row(2).array() += 1.5;
  cores_.normals = Vector3d::UnitZ().replicate(1, 2 * count);
  cores_.area_mm2.setConstant(2 * count, 4.0);
  cores_.change_mm.setZero(2 * count);
  sides_known_ = false;
  EXPECT_EQ(found([](const Vector3d& p) { return in_disc(p); }).size(), 1U);
}

/// A plate that both scans show, but for a disc about its middle.
Scan plate_without(double radius_mm, std::uint64_t seed) {
  Rng rng(seed);
  std::vector<Vector3d> points;
  while (points.size() < 12'000) {
    const Vector3d p(rng.uniform(0.0, 120.0), rng.uniform(0.0, 120.0), 0.03 * rng.normal());
    if (std::hypot(p.x() - 60.0, p.y() - 60.0) >= radius_mm) points.push_back(p);
  }
  test::OrientedPoints level = test::looking(points, Vector3d::UnitZ());
  Scan scan;
  scan.name = "plate.xyz";
  scan.points_mm = std::move(level.points_mm);
  scan.normals = std::move(level.normals);
  return scan;
}

// Both were called unchanged: nothing that both scans show had moved.
TEST(MeasureChanges, AHoleMadeOrFilledLeavesItUndecided) {
  const Scan whole = plate_without(0.0, 1), drilled = plate_without(8.0, 2);
  EXPECT_EQ(test::changes_between_made(drilled, plate_without(8.0, 3)).outcome,
            ChangesOutcome::Unchanged);
  const Changes made = test::changes_between_made(whole, drilled);
  EXPECT_EQ(made.outcome, ChangesOutcome::Undecided);
  ASSERT_EQ(made.open_places.size(), 1U);
  EXPECT_TRUE(made.open_places[0].in_old);
  EXPECT_NE(made.reasons.at(0).find("there may be a hole now"), std::string::npos);
  const Changes filled = test::changes_between_made(drilled, whole);
  EXPECT_EQ(filled.outcome, ChangesOutcome::Undecided);
  ASSERT_EQ(filled.open_places.size(), 1U);
  EXPECT_FALSE(filled.open_places[0].in_old);
  EXPECT_NE(filled.reasons.at(0).find("a hole may have been closed"), std::string::npos);
}

}  // namespace
}  // namespace trammel
