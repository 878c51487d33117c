#include "trammel/square/square_up.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "square/cart.hpp"
#include "support/long_run.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kHalfADegreeTenth = 0.05 * kDegree;

test::VirtualScan cart_scan(const test::CartOptions& options, std::uint64_t seed,
                            std::vector<Eigen::Vector3d> views = {}) {
  test::ScannerSettings settings;
  settings.points = 60'000;
  settings.noise_mm = 0.1;
  settings.with_normals = false;
  settings.views = std::move(views);
  if (settings.views.empty())
    for (const Eigen::Vector3d& view : spread_directions(40))
      if (view.z() > 0.1) settings.views.push_back(view);
  return test::scan_of(test::cart(options), settings, Rng(seed));
}

/// Angle between where an axis of the cart came to lie and where it should.
double angle_off(const Squared& squared, const test::VirtualScan& made,
                 const Eigen::Vector3d& axis) {
  const Eigen::Vector3d found =
      squared.T_square_scan.linear() * made.T_design_scan.linear().transpose() * axis;
  return std::atan2(found.cross(axis).norm(), found.dot(axis));
}

Eigen::Vector3d in_scan(const test::VirtualScan& made, const Eigen::Vector3d& p) {
  return made.T_design_scan.inverse() * p;
}

TEST(SquareUp, FindsFloorAndSymmetryToATwentiethOfADegree) {
  for (const std::uint64_t seed : test::some_of<std::uint64_t>({0, 1, 2}, 1)) {
    const auto made = cart_scan({}, 10 + seed);
    SquareSettings settings;
    settings.forward_mm = in_scan(made, {900, 100, 300});
    const Squared squared = square_up(made.scan, settings, Rng(1));
    EXPECT_TRUE(squared.certain) << seed;
    EXPECT_TRUE(squared.level.found);
    EXPECT_TRUE(squared.symmetry.found) << squared.symmetry.doubt;
    EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitZ()), kHalfADegreeTenth);
    EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitX()), kHalfADegreeTenth);
    // The errors that it claims are of the size of those it makes: five times at most.
    EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitZ()),
              5.0 * squared.level.standard_error_rad + 1e-6);
    EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitX()),
              5.0 * (squared.forward_error_rad + squared.level.standard_error_rad) + 1e-6);
    // The origin lies on the floor and in the plane of symmetry.
    const Eigen::Vector3d origin =
        made.T_design_scan * squared.T_square_scan.inverse() * Eigen::Vector3d::Zero();
    EXPECT_NEAR(origin.y(), 0.0, 0.5);
    EXPECT_NEAR(origin.z(), 0.0, 0.1);
  }
}

TEST(SquareUp, WorksWhereAQuarterWasNotSeen) {
  auto made = cart_scan({}, 20);
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < made.scan.size(); ++i) {
    const Eigen::Vector3d p = made.T_design_scan * made.scan.points_mm.col(i);
    if (p.x() < 300.0 || p.y() < 0.0) kept.push_back(i);
  }
  made.scan.points_mm = Eigen::Matrix3Xd(made.scan.points_mm(Eigen::all, kept));
  SquareSettings settings;
  settings.forward_mm = in_scan(made, {900, -100, 300});
  const Squared squared = square_up(made.scan, settings, Rng(1));
  EXPECT_TRUE(squared.certain) << squared.symmetry.doubt;
  EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitX()), kHalfADegreeTenth);
}

TEST(SquareUp, SaysThatTheFrontIsNotKnown) {
  const auto made = cart_scan({}, 30);
  const Squared squared = square_up(made.scan, {}, Rng(1));
  EXPECT_FALSE(squared.certain);
  ASSERT_FALSE(squared.notes.empty());
  EXPECT_NE(squared.notes.front().find("front"), std::string::npos);
  EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitZ()), kHalfADegreeTenth);
}

TEST(SquareUp, TwoPlanesOfSymmetryAreNotChosenBetween) {
  test::CartOptions options;
  options.symmetric_ends = true;
  options.box_on_one_side = false;
  const auto made = cart_scan(options, 40);
  const Squared squared = square_up(made.scan, {}, Rng(1));
  EXPECT_FALSE(squared.symmetry.found);
  EXPECT_GT(squared.symmetry.rival, 0.5);
  EXPECT_FALSE(squared.certain);
}

TEST(SquareUp, PickedPlacesDecide) {
  const auto made = cart_scan({}, 50);
  SquareSettings settings;
  settings.up_mm = in_scan(made, {-1400, 900, 0});
  settings.rear_mm = in_scan(made, {-950, 0, 640});
  settings.forward_mm = in_scan(made, {950, 0, 430});
  settings.origin_mm = in_scan(made, {0, 0, 800});
  const Squared squared = square_up(made.scan, settings, Rng(1));
  EXPECT_TRUE(squared.certain);
  EXPECT_EQ(squared.level.from, "picked face");
  EXPECT_EQ(squared.forward_from, "two picked places");
  EXPECT_LT(angle_off(squared, made, Eigen::Vector3d::UnitX()), kHalfADegreeTenth);
  EXPECT_LT((squared.T_square_scan * *settings.origin_mm).norm(), 1e-6);
}

TEST(SquareUp, IsRightHandedAndTheSameOnAnyNumberOfThreads) {
  const auto made = cart_scan({}, 60);
  std::vector<Squared> found;
  for (const int threads : test::some_of<int>({1, 4, 2}, 2)) {
    const ThreadLimit limit(threads);
    found.push_back(square_up(made.scan, {}, Rng(1)));
  }
  EXPECT_NEAR(found[0].T_square_scan.linear().determinant(), 1.0, 1e-12);
  for (const Squared& one : found)
    EXPECT_EQ(one.T_square_scan.matrix(), found[0].T_square_scan.matrix());
}

TEST(SquareUp, OfTooFewPointsSaysSo) {
  Scan few;
  few.points_mm = Eigen::Matrix3Xd::Random(3, 30);
  const Squared squared = square_up(few, {}, Rng(1));
  EXPECT_FALSE(squared.certain);
  EXPECT_FALSE(squared.notes.empty());
}

}  // namespace
}  // namespace trammel
