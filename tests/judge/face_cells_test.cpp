#include "trammel/judge/face_cells.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// The upper face of the box [0, 60] × [0, 40] × [0, 5], its cells chosen.
struct UpperCells {
  test::CellFixture f;
  Eigen::VectorXi of_face;

  template <typename Deviation>
  explicit UpperCells(const Deviation& deviation) : f(deviation) {
    of_face = cells_of_face(SmoothFaces(f.index).at({10, 10, 5}).face, f.tree.cells());
  }
  [[nodiscard]] FaceSight sight() const {
    return sight_of(values_of(of_face, f.readings, points_in_cells(f.readings)), f.tree.cells());
  }
};

double all_seen(const Vector3d&, const Vector3d&) {
  return 0.0;
}

TEST(FaceCells, AreThoseOfTheFaceAlone) {
  const UpperCells upper(all_seen);
  const SurfaceCells& cells = upper.f.tree.cells();
  double area_mm2 = 0.0;
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    if (upper.of_face[c] < 0) continue;
    area_mm2 += cells.area_mm2[c];
    EXPECT_NEAR(cells.center_mm(2, c), 5.0, 1e-12);
  }
  EXPECT_NEAR(area_mm2, 2400.0, 1e-6);
}

TEST(FaceCells, WithoutEdgesLeaveAStripOut) {
  const UpperCells upper(all_seen);
  const SurfaceCells& cells = upper.f.tree.cells();
  const Eigen::VectorXi inner = without_edges(upper.of_face, cells, 2.0);
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    const Vector3d p = cells.center_mm.col(c);
    const double from_edge = std::min({p.x(), 60 - p.x(), p.y(), 40 - p.y()});
    // The border is known by the middles of its edges, which are 0.8 mm long at most.
    if (upper.of_face[c] < 0 || from_edge < 1.95) {
      EXPECT_EQ(inner[c], -1) << p.transpose();
    } else if (from_edge >= 2.0) {
      EXPECT_EQ(inner[c], 0) << p.transpose();
    }
  }
}

TEST(FaceCells, CountTheirPoints) {
  const UpperCells upper(all_seen);
  EXPECT_EQ(points_in_cells(upper.f.readings).minCoeff(), 5.0);
  EXPECT_EQ(points_in_cells(upper.f.readings).maxCoeff(), 5.0);
}

TEST(FaceSight, OfAFaceSeenWhole) {
  const FaceSight sight = UpperCells(all_seen).sight();
  EXPECT_NEAR(sight.area_mm2, 2400.0, 1e-6);
  EXPECT_NEAR(sight.share, 1.0, 1e-12);
  EXPECT_EQ(sight.gap_mm2, 0.0);
  EXPECT_EQ(why_not_all_seen(sight, 4.0), "");
}

// 8 × 8 mm hidden: 97 % seen, but 64 mm² is more than 2 % of the face.
TEST(FaceSight, OneLargeGapIsEnough) {
  const UpperCells upper([](const Vector3d& p, const Vector3d& n) {
    return test::in_square(p, n, 8.0) ? test::kUnseen : 0.0;
  });
  const FaceSight sight = upper.sight();
  EXPECT_NEAR(sight.gap_mm2, 64.0, 12.0);  // of cells of 0.8 mm
  EXPECT_NE(why_not_all_seen(sight, 4.0).find("of it near ("), std::string::npos);
  EXPECT_EQ(why_not_all_seen(sight, 20.0), "");  // where a patch of 20 mm² is the smallest judged
}

// Nine of ten rows seen in strips of 1 mm: no gap is large, but a fifth is missing.
TEST(FaceSight, ManySmallGapsAreTooMany) {
  const UpperCells upper([](const Vector3d& p, const Vector3d&) {
    const bool hidden = std::fmod(p.x(), 6.0) < 1.2 && std::fmod(p.y(), 6.0) < 5.0;
    return hidden ? test::kUnseen : 0.0;
  });
  const FaceSight sight = upper.sight();
  EXPECT_LT(sight.gap_mm2, 20.0);
  EXPECT_LT(sight.share, 0.9);
  EXPECT_NE(why_not_all_seen(sight, 4.0).find("90 % are needed"), std::string::npos);
}

TEST(FaceSight, WhatOneOrTwoPointsReadIsNotSeen) {
  UpperCells upper(all_seen);
  upper.f.readings.support.setConstant(2);
  EXPECT_EQ(upper.sight().share, 0.0);
  upper.f.readings.support.setConstant(3);
  EXPECT_NEAR(upper.sight().share, 1.0, 1e-12);
}

TEST(FaceSight, OfNothingIsNotEnough) {
  UpperCells upper(all_seen);
  upper.of_face.setConstant(-1);
  EXPECT_EQ(upper.sight().share, 0.0);
  EXPECT_NE(why_not_all_seen(upper.sight(), 4.0), "");
  EXPECT_EQ(seen_share(upper.of_face, upper.f.tree.cells(), upper.f.readings), 0.0);
}

// Two points a mm², seen whole: every eighth cell has fewer than three behind its reading. It was
// told that 68 % of the face was seen, and nothing was hatched.
TEST(FaceSight, OfACoarseScanIsWhole) {
  UpperCells upper(all_seen);
  Rng rng(3);
  for (Eigen::Index c = 0; c < upper.of_face.size(); ++c)
    if (rng.uniform() < 0.125) upper.f.readings.support[c] = 2;
  EXPECT_GT(upper.sight().share, 0.97);
  EXPECT_EQ(why_not_all_seen(upper.sight(), 4.0), "");
}

// A cell without a reading between three that have one is taken for read, one that is missing
// never: every eighth was counted as seen.
TEST(FaceSight, WhatIsMissingBetweenReadCellsIsNotRead) {
  UpperCells upper(all_seen);
  upper.f.readings.missing.assign(upper.f.readings.seen.size(), 0);
  double missing_mm2 = 0.0;
  Rng rng(3);
  for (Eigen::Index c = 0; c < upper.of_face.size(); ++c) {
    if (upper.of_face[c] < 0 || rng.uniform() > 0.125) continue;
    upper.f.readings.missing[static_cast<std::size_t>(c)] = 1;
    upper.f.readings.support[c] = 0;
    missing_mm2 += upper.f.tree.cells().area_mm2[c];
  }
  const FaceSight sight = upper.sight();
  EXPECT_NEAR(sight.missing_mm2, missing_mm2, 1e-9);
  EXPECT_NEAR(sight.share, 1.0 - missing_mm2 / sight.area_mm2, 1e-9);
  EXPECT_NE(why_not_all_seen(sight, 4.0).find("are missing"), std::string::npos);
}

}  // namespace
}  // namespace trammel
