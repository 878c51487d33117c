#include "trammel/judge/own_points.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// The plate of the fixture, every cell read; of the cells on its face x = 0 all points but those
/// that are `own` are of its upper face, which reaches over that edge.
struct ReachedOver : test::CellFixture {
  template <typename Own>
  explicit ReachedOver(const Own& own)
      : CellFixture([](const Vector3d&, const Vector3d&) { return 0.7; }) {
    const SurfaceCells& cells = tree.cells();
    const Index points = readings.cell_of_point.size();
    deviations.inferred.assign(static_cast<std::size_t>(points), 0);
    deviations.foot_mm.resize(3, points);
    normals.resize(3, points);
    for (Index i = 0; i < points; ++i) {
      const int c = readings.cell_of_point[i];
      deviations.foot_mm.col(i) = cells.center_mm.col(c);
      normals.col(i) = cells.normal.col(c);
      if (!on_end(c) || own(Vector3d(cells.center_mm.col(c)))) continue;
      deviations.inferred[static_cast<std::size_t>(i)] = 1;
      normals.col(i) = Vector3d::UnitZ();
    }
  }
  [[nodiscard]] bool on_end(Index cell) const { return tree.cells().normal(0, cell) < -0.9; }
  [[nodiscard]] CellReadings by_own() const {
    return by_own_points(tree.cells(), readings, deviations, normals, 1.0);
  }
};

TEST(OwnPoints, AFaceReadByWhatReachesOverItAloneWasNotSeen) {
  const ReachedOver f([](const Vector3d&) { return false; });
  const CellReadings own = f.by_own();
  for (Index c = 0; c < f.tree.cells().size(); ++c)
    EXPECT_EQ(own.seen[static_cast<std::size_t>(c)] == 0, f.on_end(c));
}

TEST(OwnPoints, WhereItHasPointsOfItsOwnItWas) {
  const ReachedOver f([](const Vector3d& p) { return p.y() < 20.0; });
  const CellReadings own = f.by_own();
  for (Index c = 0; c < f.tree.cells().size(); ++c) {
    const double y = f.tree.cells().center_mm(1, c);
    if (!f.on_end(c) || std::abs(y - 20.0) < 2.5) continue;
    EXPECT_EQ(own.seen[static_cast<std::size_t>(c)] != 0, y < 20.0) << y;
    EXPECT_EQ(own.support[c] != 0, y < 20.0) << y;
  }
}

TEST(OwnPoints, NothingReachingOverLeavesAllAsItWas) {
  ReachedOver f([](const Vector3d&) { return true; });
  EXPECT_EQ(f.by_own().deviation_mm, f.readings.deviation_mm);
  f.deviations.inferred.clear();
  EXPECT_EQ(f.by_own().seen, f.readings.seen);
}

}  // namespace
}  // namespace trammel
