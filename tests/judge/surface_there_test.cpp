#include "trammel/judge/surface_there.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Of the upper face a square about (30, 20) is missing; `seen(place, normal)` else.
template <typename Seen>
test::CellFixture without_square(double side, const Seen& seen) {
  test::CellFixture f([&](const Vector3d& p, const Vector3d& n) {
    if (test::in_square(p, n, side)) return -7.0;
    return seen(p, n) ? 0.1 : test::kUnseen;
  });
  f.readings.missing.assign(f.readings.seen.size(), 0);
  for (Index c = 0; c < f.readings.deviation_mm.size(); ++c)
    if (f.readings.deviation_mm[c] < -1.0) f.readings.missing[static_cast<std::size_t>(c)] = 1;
  return f;
}

bool all_of_it(const Vector3d&, const Vector3d&) {
  return true;
}

TEST(SurfaceThere, LeavesOutWhatIsMissingAndAMarginAroundIt) {
  const test::CellFixture f = without_square(6, all_of_it);
  const SurfaceCells& cells = f.tree.cells();
  const CellReadings there = of_surface_there(cells, f.readings, 1.5);
  for (Index c = 0; c < cells.size(); ++c) {
    const Vector3d p = cells.center_mm.col(c), n = cells.normal.col(c);
    const bool left_out = there.seen[static_cast<std::size_t>(c)] == 0;
    EXPECT_EQ(left_out, std::isnan(there.deviation_mm[c]));
    EXPECT_TRUE(left_out || !test::in_square(p, n, 6)) << p.transpose();
    EXPECT_TRUE(!left_out || test::in_square(p, n, 9.1)) << p.transpose();
  }
}

TEST(SurfaceThere, NothingMissingLeavesAllAsItWas) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.1; });
  const CellReadings there = of_surface_there(f.tree.cells(), f.readings, 1.5);
  EXPECT_EQ(there.deviation_mm, f.readings.deviation_mm);
}

TEST(SurfaceThere, AFaceWithAHoleWasMadeOneOfWhichMostIsMissingWasNot) {
  const auto left_of_upper = [](const test::CellFixture& f) {
    const SurfaceCells& cells = f.tree.cells();
    Eigen::VectorXi face_of_cell(cells.size());
    for (Index c = 0; c < cells.size(); ++c)
      face_of_cell[c] = cells.normal(2, c) > 0.9 ? 0 : cells.normal(2, c) < -0.9 ? 1 : -1;
    const CellReadings made = of_faces_made(cells, f.readings, face_of_cell);
    int upper = 0, lower = 0;
    for (Index c = 0; c < cells.size(); ++c) {
      const int seen = made.seen[static_cast<std::size_t>(c)] != 0 ? 1 : 0;
      (face_of_cell[c] == 0 ? upper : lower) += seen;
    }
    EXPECT_GT(lower, 0);
    return upper;
  };
  EXPECT_GT(left_of_upper(without_square(6, all_of_it)), 0);
  // Nothing but a strip was read beside what is missing.
  EXPECT_EQ(left_of_upper(without_square(6,
                                         [](const Vector3d& p, const Vector3d& n) {
                                           return n.z() < 0.9 || std::abs(p.x() - 30) < 9;
                                         })),
            0);
  EXPECT_EQ(left_of_upper(without_square(20,
                                         [](const Vector3d& p, const Vector3d& n) {
                                           return n.z() < 0.9 || std::abs(p.x() - 30) < 5;
                                         })),
            0);
}

}  // namespace
}  // namespace trammel
