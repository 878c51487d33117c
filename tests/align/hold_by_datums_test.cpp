#include "trammel/align/hold_by_datums.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"
#include "trammel/base/directions.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

AlignSettings held_by(const Vector3d& a, const Vector3d& b, const Vector3d& c) {
  AlignSettings settings;
  settings.method = AlignMethod::Datums;
  settings.datums = {{"A", a}, {"B", b}, {"C", c}};
  return settings;
}

/// Underside, outer face of the upright, and a side of it.
AlignSettings bracket_datums() {
  return held_by({55, 30, 0}, {0, 50, 12}, {1.5, 0, 20});
}

test::VirtualScan datum_scan(const Mesh& mesh, Rng rng, std::size_t points = 40000) {
  test::ScannerSettings settings;
  settings.points = points;
  return test::scan_of(mesh, settings, rng);
}

double datums_error_mm(const Alignment& a, const test::VirtualScan& made, const Mesh& part) {
  return test::corner_error_mm(a.T_design_scan.inverse(), made.T_design_scan.inverse(),
                               bounding_box(part.vertices_mm));
}

std::string doubts_of(const Alignment& a) {
  std::string words;
  for (const std::string& doubt : a.doubts)
    words += doubt + "\n";
  return words;
}

TEST(HoldByDatums, PutsAGoodPartWhereItIs) {
  // A block: three faces square to each other, each wide.
  const Mesh block = test::displaced(test::box({0, 0, 0}, {80, 50, 30}), [](const Vector3d& p) {
    return Vector3d(p.z() > 1.0 && p.x() > 1.0 ? 6.0 : 0.0, 0, 0);  // one side leans: no symmetry
  });
  const SurfaceIndex design(block);
  for (const DatumFit fit : {DatumFit::Outer, DatumFit::LeastSquares}) {
    AlignSettings settings = held_by({40, 25, 0}, {40, 0, 15}, {0, 25, 15});
    settings.datum_fit = fit;
    const auto made = datum_scan(block, Rng(1));
    const Alignment held = align(made.scan, design, settings, Rng(2));
    EXPECT_TRUE(held.found && held.converged && held.doubts.empty()) << doubts_of(held);
    // Patches of about 150 points: 1.25 · 0.03/√150 = 0.003 mm; the highest of 50 stand out by 2 σ
    // of that, and B and C are shorter than the part.
    EXPECT_LT(datums_error_mm(held, made, block), fit == DatumFit::Outer ? 0.04 : 0.02);
    ASSERT_EQ(held.datums.size(), 3U);
    EXPECT_EQ(held.datums[0].motions, 3);
    EXPECT_EQ(held.datums[1].motions, 2);
    EXPECT_EQ(held.datums[2].motions, 1);
    EXPECT_EQ(held.datums[0].touching, fit == DatumFit::Outer ? 3 : 0);
  }
}

TEST(HoldByDatums, RestsOnTheHighSpotsAndNotOnTheMean) {
  // The underside is hollow: 0.4 mm deep in the middle, 0 at its corners. Resting on it, the part
  // lies where it was drawn; by least squares it sinks by the mean of the hollow.
  const Mesh block = test::displaced(test::box({0, 0, 0}, {80, 50, 30}), [](const Vector3d& p) {
    return Vector3d(p.z() > 1.0 && p.x() > 1.0 ? 6.0 : 0.0, 0, 0);
  });
  const Mesh hollow = test::displaced(test::refined(block, 3.0), [](const Vector3d& p) {
    if (p.z() > 1e-9) return Vector3d(0, 0, 0);
    const double x = p.x() / 40.0 - 1.0, y = p.y() / 25.0 - 1.0;
    return Vector3d(0, 0, 0.4 * (1.0 - x * x) * (1.0 - y * y));
  });
  const SurfaceIndex design(block);
  const auto made = datum_scan(hollow, Rng(3));
  AlignSettings settings = held_by({40, 25, 0}, {40, 0, 15}, {0, 25, 15});
  const Alignment outer = align(made.scan, design, settings, Rng(4));
  settings.datum_fit = DatumFit::LeastSquares;
  const Alignment mean = align(made.scan, design, settings, Rng(4));
  const auto height = [&](const Alignment& a) {  // of the drawn middle, as the part now lies
    return (a.T_design_scan * made.T_design_scan.inverse() * Vector3d(40, 25, 0)).z();
  };
  EXPECT_NEAR(height(outer), 0.0, 0.03);
  // Mean of 0.4 (1 − x²)(1 − y²) over the face: 0.4 · 4/9.
  EXPECT_NEAR(height(mean), -0.4 * 4.0 / 9.0, 0.03);
  EXPECT_NEAR(outer.datums[0].form_mm, 0.4, 0.06);
}

TEST(HoldByDatums, TakesTheFacesInTheirOrder) {
  // The upright leans by 1°. With A on the base it keeps the base level and B gives way; with A on
  // the upright the base tilts. A|B is not B|A on a part that is out of square.
  const Mesh part = test::bracket();
  const Mesh leaning = test::displaced(test::refined(part, 4.0), [](const Vector3d& p) {
    return Vector3d(0.01745 * std::max(0.0, p.z() - 3.0), 0, 0);
  });
  const SurfaceIndex design(part);
  const auto made = datum_scan(leaning, Rng(5));
  const auto level = [&](const AlignSettings& settings) {
    const Alignment a = align(made.scan, design, settings, Rng(6));
    EXPECT_TRUE(a.doubts.empty()) << doubts_of(a);
    return (a.T_design_scan * made.T_design_scan.inverse()).linear() * Vector3d::UnitZ();
  };
  AlignSettings first = bracket_datums(), second = bracket_datums();
  std::swap(second.datums[0].at_mm, second.datums[1].at_mm);
  first.datum_fit = second.datum_fit = DatumFit::LeastSquares;
  EXPECT_NEAR(std::asin(level(first).x()), 0.0, 5e-4);
  // The base below z = 3 stays, so a little less than the lean itself.
  EXPECT_NEAR(std::asin(level(second).x()), -0.0170, 1.5e-3);
}

TEST(HoldByDatums, HoldsAPlateByTwoHoles) {
  const Mesh part = test::bracket();
  test::BracketOptions moved;
  moved.second_base_hole_off_mm = {0.0, 0.6};
  const SurfaceIndex design(part);
  const auto made = datum_scan(test::bracket(moved), Rng(7));
  const AlignSettings settings = held_by({55, 30, 0}, {40, 15, 3}, {70, 44, 3});
  const Alignment held = align(made.scan, design, settings, Rng(8));
  EXPECT_TRUE(held.doubts.empty()) << doubts_of(held);
  EXPECT_EQ(held.datums[0].motions, 3);
  EXPECT_EQ(held.datums[1].motions, 2);
  EXPECT_EQ(held.datums[2].motions, 1);
  EXPECT_EQ(held.datums[2].feature, "hole");
  const Eigen::Isometry3d moves = held.T_design_scan * made.T_design_scan.inverse();
  // B stays on its place; the part turns about it until C lies on the line from B to its place.
  EXPECT_LT((moves * Vector3d(40, 15, 1.5) - Vector3d(40, 15, 1.5)).head<2>().norm(), 0.02);
  const Vector3d c = moves * Vector3d(70, 44.6, 1.5) - Vector3d(40, 15, 1.5);
  EXPECT_NEAR(std::atan2(c.y(), c.x()), std::atan2(29.0, 30.0), 0.02 / 41.7);
}

TEST(HoldByDatums, TakesTheDirectionOfAFaceAfterAHole) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = datum_scan(part, Rng(17));
  for (const DatumFit fit : {DatumFit::Outer, DatumFit::LeastSquares}) {
    AlignSettings settings = held_by({55, 30, 0}, {40, 15, 3}, {45, 0, 1.5});
    settings.datum_fit = fit;
    const Alignment held = align(made.scan, design, settings, Rng(18));
    EXPECT_TRUE(held.doubts.empty()) << doubts_of(held);
    EXPECT_EQ(held.datums[2].motions, 1);
    EXPECT_LT(datums_error_mm(held, made, part), 0.1);
  }
}

TEST(HoldByDatums, IsUndecidedWhenADatumWasNotSeen) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  test::ScannerSettings scanner;
  scanner.points = 40000;
  scanner.views.clear();
  for (const Vector3d& view : spread_directions(26))
    if (view.z() > 0.1) scanner.views.push_back(view);  // never from below
  const auto made = test::scan_of(part, scanner, Rng(9));
  const Alignment held = align(made.scan, design, bracket_datums(), Rng(10));
  ASSERT_FALSE(held.doubts.empty());
  EXPECT_NE(doubts_of(held).find("datum A at (55.0, 30.0, 0.0) cannot hold the part: only"),
            std::string::npos)
      << doubts_of(held);
}

TEST(HoldByDatums, IsUndecidedWhenTheDatumsLeaveAMotionFree) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = datum_scan(part, Rng(11), 40000);
  // B is the other side of the same wall as A: it holds nothing that A does not.
  const Alignment held =
      align(made.scan, design, held_by({55, 30, 0}, {55, 30, 3}, {0, 50, 12}), Rng(12));
  EXPECT_NE(doubts_of(held).find("leave 1 motion of the part free"), std::string::npos)
      << doubts_of(held);
  // A place in the air names nothing.
  const Alignment nothing =
      align(made.scan, design, held_by({55, 30, 0}, {0, 50, 12}, {200, 200, 200}), Rng(13));
  EXPECT_NE(doubts_of(nothing).find("no flat face and no round hole"), std::string::npos);
}

TEST(HoldByDatums, PredictsItsErrorHonestly) {
  const Mesh block = test::displaced(test::box({0, 0, 0}, {80, 50, 30}), [](const Vector3d& p) {
    return Vector3d(p.z() > 1.0 && p.x() > 1.0 ? 6.0 : 0.0, 0, 0);
  });
  const SurfaceIndex design(block);
  AlignSettings settings = held_by({40, 25, 0}, {40, 0, 15}, {0, 25, 15});
  settings.datum_fit = DatumFit::LeastSquares;
  double chi_square = 0.0;
  constexpr int kPoses = 5;
  for (std::uint64_t seed = 0; seed < kPoses; ++seed) {
    const auto made = datum_scan(block, Rng(20 + seed), test::rounds(20000, 30000));
    const Alignment a = align(made.scan, design, settings, Rng(seed));
    ASSERT_TRUE(a.doubts.empty()) << doubts_of(a);
    const Eigen::Isometry3d error = a.T_design_scan * made.T_design_scan.inverse();
    const Eigen::AngleAxisd turn(error.linear());
    Eigen::Matrix<double, 6, 1> x;
    x << turn.angle() * turn.axis(), error * a.center_mm - a.center_mm;
    chi_square += x.dot(a.information * x);
  }
  // Sum of 5 χ² of 6 degrees: mean 30, σ 7.7; four σ up, and three down.
  EXPECT_LT(chi_square, 30.0 + 4.0 * 7.7);
  EXPECT_GT(chi_square, 30.0 - 3.0 * 7.7);
}

}  // namespace
}  // namespace trammel
