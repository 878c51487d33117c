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

TEST(ViewerMesh, OfTooManyEdgesTheSharpestAreKept) {
  Inspection inspection = test::failing_inspection(6.0);
  const auto corners = corner_deviations(inspection.surface);
  const std::size_t all = viewer_mesh(inspection, corners).edges.size() / 6;
  ASSERT_GT(all, 100u);
  // One border of the surface, where it ends, is sharper than any bend.
  SurfaceCells& cells = inspection.surface.cells;
  const Eigen::Index last = cells.size() - 1;
  const int other = cells.neighbours(0, last);
  cells.neighbours(0, last) = -1;
  for (int k = 0; k < 3; ++k)
    if (cells.neighbours(k, other) == last) cells.neighbours(k, other) = -1;
  const ViewerMesh few = viewer_mesh(inspection, corners, {200'000, 2});
  ASSERT_EQ(few.edges.size(), 12u);
  const auto end = [&](std::size_t at) {
    Eigen::Vector3d place = few.origin_mm;
    for (std::size_t k = 0; k < 3; ++k)
      place[static_cast<Eigen::Index>(k)] += few.place_step_mm * few.edges[at + k];
    return place;
  };
  const Eigen::Vector3d from = cells.vertices_mm.col(cells.cells(0, last)),
                        to = cells.vertices_mm.col(cells.cells(1, last));
  for (const std::size_t edge : {0, 6}) {
    const double along = std::min((end(edge) - from).norm() + (end(edge + 3) - to).norm(),
                                  (end(edge) - to).norm() + (end(edge + 3) - from).norm());
    EXPECT_LE(along, 2.0 * few.place_error_mm + 1e-9);
  }
}

}  // namespace
}  // namespace trammel
