#include "trammel/report/viewer_mesh.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "report/sample_inspection.hpp"
#include "trammel/report/corner_deviations.hpp"

namespace trammel {
namespace {

Eigen::Vector3d place_of(const ViewerMesh& mesh, std::size_t vertex) {
  Eigen::Vector3d place = mesh.origin_mm;
  for (std::size_t k = 0; k < 3; ++k)
    place[static_cast<Eigen::Index>(k)] += mesh.place_step_mm * mesh.places[3 * vertex + k];
  return place;
}

TEST(ViewerMesh, HoldsEveryCellWithinTheErrorsItStates) {
  const Inspection inspection = test::failing_inspection(2.5);
  const SurfaceMap& surface = inspection.surface;
  const ViewerMesh mesh = viewer_mesh(inspection, corner_deviations(surface));
  ASSERT_EQ(mesh.size(), static_cast<std::size_t>(surface.cells.size()));
  // The bracket is 90 mm long: half the diagonal of a grid of 65535 steps.
  EXPECT_NEAR(mesh.place_error_mm, 0.5 * std::sqrt(3.0) * 90.0 / 65535.0, 1e-9);
  EXPECT_LT(mesh.reading_error_mm, 1e-4);
  for (std::size_t c = 0; c < mesh.size(); ++c) {
    const auto cell = static_cast<Eigen::Index>(c);
    for (std::size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d wanted =
          surface.cells.vertices_mm.col(surface.cells.cells(static_cast<Eigen::Index>(k), cell));
      EXPECT_LE((place_of(mesh, mesh.corners[3 * c + k]) - wanted).norm(),
                mesh.place_error_mm + 1e-12);  // rounding of the sums
    }
    const double deviation = surface.readings.deviation_mm[cell];
    ASSERT_EQ(mesh.readings[c] == kUnseenReading, std::isnan(deviation));
    if (std::isnan(deviation)) continue;
    EXPECT_NEAR(mesh.readings[c] * mesh.reading_step_mm, deviation, mesh.reading_error_mm + 1e-12);
    EXPECT_EQ(mesh.regions[c], surface.region[cell]);
  }
}

TEST(ViewerMesh, JoinsCellsUntilTheyAreFewAndSaysWithinWhat) {
  const Inspection inspection = test::failing_inspection(1.0);
  const auto corners = corner_deviations(inspection.surface);
  const ViewerMesh mesh = viewer_mesh(inspection, corners, {20'000});
  EXPECT_GT(mesh.cells_of_design, 20'000u);
  EXPECT_LE(mesh.size(), 20'000u);
  // A quarter of the smallest limit is the most that colours may be off by, and half a unit.
  EXPECT_LE(mesh.reading_error_mm, 0.25 * 0.5 + mesh.reading_step_mm);
}

TEST(ViewerMesh, DrawsVerticesTogetherWhereTheDesignItselfIsTooFine) {
  const Inspection inspection = test::failing_inspection(2.0);
  const auto corners = corner_deviations(inspection.surface);
  const ViewerMesh mesh = viewer_mesh(inspection, corners, {1200});
  EXPECT_LE(mesh.size(), 1200u);
  EXPECT_GT(mesh.size(), 400u);
  EXPECT_GT(mesh.place_error_mm, 0.1);
  for (const std::uint32_t corner : mesh.corners)
    EXPECT_LT(corner, mesh.places.size() / 3);
}

TEST(ViewerMesh, EdgesAreThoseOfThePart) {
  const Inspection inspection = test::failing_inspection(6.0);
  const ViewerMesh mesh = viewer_mesh(inspection, corner_deviations(inspection.surface));
  ASSERT_EQ(mesh.edges.size() % 6, 0u);
  double length = 0.0;
  for (std::size_t e = 0; e < mesh.edges.size(); e += 6) {
    Eigen::Vector3d off(0, 0, 0);
    for (std::size_t k = 0; k < 3; ++k)
      off[static_cast<Eigen::Index>(k)] = double(mesh.edges[e + 3 + k]) - double(mesh.edges[e + k]);
    length += mesh.place_step_mm * off.norm();
  }
  // The bracket's profile, an L of 90 × 55 and 3 mm thick, has 290 mm around, twice; its six
  // corners run 60 mm across; each hole adds its two rims.
  EXPECT_GT(length, 2 * 290.0 + 6 * 60.0);
}

}  // namespace
}  // namespace trammel
