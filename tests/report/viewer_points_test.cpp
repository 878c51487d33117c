#include "trammel/report/viewer_points.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "report/sample_inspection.hpp"
#include "trammel/report/viewer_mesh.hpp"

namespace trammel {
namespace {

Eigen::Vector3d place_of(const ViewerPoints& points, std::size_t n) {
  Eigen::Vector3d place = points.origin_mm;
  for (std::size_t k = 0; k < 3; ++k)
    place[static_cast<Eigen::Index>(k)] += points.place_step_mm * points.places[3 * n + k];
  return place;
}

Eigen::Vector3d placed(const Inspection& inspection, Eigen::Index i) {
  return inspection.alignment.T_design_scan * inspection.scan.points_mm.col(i);
}

/// Distance from a place to the scan's nearest point, by trying all.
double to_scan_mm(const Eigen::Matrix3Xd& placed_mm, const Eigen::Vector3d& place) {
  return (placed_mm.colwise() - place).colwise().norm().minCoeff();
}

TEST(ViewerPoints, HoldEveryPointOfASmallScanWithinTheErrorsTheyState) {
  const Inspection inspection = test::failing_inspection(3.0);
  const ViewerPoints points = viewer_points(inspection);
  ASSERT_EQ(points.size(), static_cast<std::size_t>(inspection.scan.size()));
  EXPECT_EQ(points.cube_mm, 0.0);
  for (std::size_t n = 0; n < points.size(); ++n) {
    const auto i = static_cast<Eigen::Index>(n);
    ASSERT_LE((place_of(points, n) - placed(inspection, i)).norm(), points.place_error_mm + 1e-9);
    const double deviation = inspection.deviations.signed_mm[i];
    if (std::isnan(deviation)) {
      ASSERT_TRUE(points.normals[3 * n] == 0 && points.normals[3 * n + 1] == 0 &&
                  points.normals[3 * n + 2] == 0);
      continue;
    }
    ASSERT_NEAR(points.readings[n] * points.reading_step_mm, deviation,
                points.reading_error_mm + 1e-12);
    // A unit of 1/127 along each axis, rounded: at most half of √3 of them off.
    const Eigen::Vector3d normal(points.normals[3 * n], points.normals[3 * n + 1],
                                 points.normals[3 * n + 2]);
    const Eigen::Vector3d wanted =
        area_vector(inspection.design.mesh, inspection.deviations.triangle[i]).normalized();
    ASSERT_LT((normal / 127.0 - wanted).norm(), 0.5 * std::sqrt(3.0) / 127.0 + 1e-9);
    const int cell = inspection.surface.readings.cell_of_point[i];
    ASSERT_EQ(points.regions[n] > 0, inspection.surface.region[cell] > 0);
  }
}

TEST(ViewerPoints, SayWhatBecameOfThoseWithoutAReading) {
  Inspection inspection = test::failing_inspection(4.0);
  const auto last = static_cast<std::size_t>(inspection.scan.size()) - 1;
  inspection.deviations.reading[last] = Reading::Stray;
  const ViewerPoints points = viewer_points(inspection);
  EXPECT_EQ(points.set_aside, 5u);
  EXPECT_EQ(points.readings[last], set_aside_reading(Reading::Stray));
  EXPECT_EQ(points.readings[last - 1], set_aside_reading(Reading::TooFar));
  EXPECT_NE(set_aside_words(Reading::Stray), set_aside_words(Reading::TooFar));
  // No real reading can be taken for one of them.
  for (std::size_t n = 0; n + 5 < points.size(); ++n)
    ASSERT_GE(points.readings[n], -32000);
  EXPECT_NE(shown_words(points).find("5 of them have no reading and are grey."), std::string::npos);
}

TEST(ViewerPoints, AreThinnedEvenlyToTheNumberAskedFor) {
  const Inspection inspection = test::passing_inspection(0.8);
  constexpr std::size_t kMost = 4000;
  const ViewerPoints points = viewer_points(inspection, {kMost});
  ASSERT_GT(points.points_of_scan, 4 * kMost);
  EXPECT_LE(points.size(), kMost);
  EXPECT_GE(points.size(), kMost / 2);
  // Even: no scanned point of the part is farther from a shown one than a cube's diagonal, and no
  // two shown ones share a cube, so that 8 cubes about a place hold 8 of them at most.
  Eigen::Matrix3Xd shown(3, static_cast<Eigen::Index>(points.size()));
  for (std::size_t n = 0; n < points.size(); ++n)
    shown.col(static_cast<Eigen::Index>(n)) = place_of(points, n);
  const double diagonal_mm = std::sqrt(3.0) * points.cube_mm + points.place_error_mm;
  for (Eigen::Index i = 0; i < inspection.scan.size(); i += 7)
    ASSERT_LE(to_scan_mm(shown, placed(inspection, i)), diagonal_mm) << i;
  for (Eigen::Index n = 0; n < shown.cols(); n += 11) {
    const auto near = (shown.colwise() - shown.col(n)).cwiseAbs().colwise().maxCoeff();
    ASSERT_LE((near.array() < 0.5 * points.cube_mm).count(), 8) << n;
  }
  EXPECT_NE(shown_words(points).find("one of each cube of "), std::string::npos);
}

TEST(ViewerPoints, ShowScannedPointsAndNoMeansOfThem) {
  const Inspection inspection = test::failing_inspection(1.5);
  const ViewerPoints points = viewer_points(inspection, {500});
  Eigen::Matrix3Xd scan(3, inspection.scan.size());
  for (Eigen::Index i = 0; i < scan.cols(); ++i)
    scan.col(i) = placed(inspection, i);
  for (std::size_t n = 0; n < points.size(); ++n)
    ASSERT_LE(to_scan_mm(scan, place_of(points, n)), points.place_error_mm + 1e-9);
}

TEST(ViewerPoints, LeaveOutWhatLiesFarFromThePartAndSaySo) {
  Inspection inspection = test::passing_inspection(4.0);
  const double fine_mm = viewer_points(inspection).place_error_mm;
  // The bracket's diagonal is 121 mm: 2 m off is farther than half of it.
  inspection.scan.points_mm.col(0) += Eigen::Vector3d(2000, 0, 0);
  const ViewerPoints points = viewer_points(inspection);
  EXPECT_EQ(points.far_off, 1u);
  EXPECT_EQ(points.size() + 1, points.points_of_scan);
  EXPECT_LE(points.place_error_mm, fine_mm);
  EXPECT_NE(shown_words(points).find("1 lie far"), std::string::npos) << shown_words(points);
}

TEST(ViewerPoints, CarryTheBandOfTheirZone) {
  Inspection inspection = test::passing_inspection(4.0);
  inspection.plan.zones.push_back({"seat", BoxShape{{-1, -1, -1}, {91, 61, 0.5}}, {0.2, 0.1}});
  const ViewerPoints points = viewer_points(inspection);
  std::set<int> in_zone, outside;
  for (std::size_t n = 0; n < points.size(); ++n) {
    if (points.readings[n] < -32000) continue;
    const double z = inspection.deviations.foot_mm(2, static_cast<Eigen::Index>(n));
    (z <= 0.5 ? in_zone : outside).insert(points.bands[n]);
  }
  EXPECT_EQ(in_zone, std::set<int>{1});
  EXPECT_EQ(outside, std::set<int>{0});
}

TEST(ViewerPoints, OfAScanThatLiesNowhereNearAreNone) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.scan.points_mm.colwise() += Eigen::Vector3d(5000, 0, 0);
  const ViewerPoints points = viewer_points(inspection);
  EXPECT_EQ(points.size(), 0u);
  EXPECT_EQ(points.far_off, points.points_of_scan);
}

}  // namespace
}  // namespace trammel
