#include "trammel/judge/cut_outs.hpp"

#include <gtest/gtest.h>

#include "judge/read_in_place.hpp"
#include "support/shapes.hpp"
#include "trammel/judge/diagnosis.hpp"
#include "trammel/judge/unmade_features.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

struct ToldOfCut {
  std::vector<Region> failed;  ///< that are not told with another
  std::vector<Flaw> flaws;
};

/// Of a scan of `real` in place, beyond 0.5 mm.
ToldOfCut told_of_cut(const std::vector<Vector2d>& design_outline,
                      const std::vector<Vector2d>& real_outline, double thick_mm) {
  const Mesh design = test::extrude({design_outline}, thick_mm);
  test::ReadInPlace read(design, test::extrude({real_outline}, thick_mm));
  const Eigen::VectorXi& region_of_cell = read.found.region_of_cell;
  std::vector<Region>& regions = read.found.regions;
  CellReadings of_form = tell_unmade(read.evidence(), region_of_cell, regions);
  tell_cut_outs(read.evidence(), region_of_cell, regions, of_form);
  const Plan plan;
  ToldOfCut out{
      {}, diagnose({find_flat_faces(design), read.tree.cells(), of_form, plan, 0.05, 0.4}).flaws};
  for (const Region& region : regions)
    if (region.outcome == Outcome::Fail && region.told_with == 0) out.failed.push_back(region);
  return out;
}

const std::vector<Vector2d> kSheet{{0, 0}, {60, 0}, {60, 40}, {0, 40}};

void expect_one_cut(const ToldOfCut& told, const Vector3d& size_mm) {
  ASSERT_EQ(told.failed.size(), 1U);
  EXPECT_EQ(told.failed[0].absence, Absence::Material);
  ASSERT_TRUE(told.failed[0].lacks);
  EXPECT_LT((told.failed[0].lacks->size_mm() - size_mm).cwiseAbs().maxCoeff(), 0.3)
      << told.failed[0].lacks->size_mm().transpose();
  EXPECT_TRUE(told.flaws.empty());
}

// Told as a dent 4 mm deep in the edge, to be knocked out from behind; of 3 mm as a round hole.
TEST(CutOuts, ANotchThroughTheEdgeIsOneCutWithItsSize) {
  for (const double thick_mm : {2.0, 3.0, 4.0})
    expect_one_cut(
        told_of_cut(kSheet,
                    {{0, 0}, {60, 0}, {60, 18}, {55, 18}, {55, 24}, {60, 24}, {60, 40}, {0, 40}},
                    thick_mm),
        {5, 6, thick_mm});
}

// Told as two dents.
TEST(CutOuts, ACornerThatIsGoneIsOneCut) {
  expect_one_cut(told_of_cut(kSheet, {{0, 0}, {60, 0}, {60, 34}, {54, 34}, {54, 40}, {0, 40}}, 3.0),
                 {6, 6, 3});
}

TEST(CutOuts, APartMadeTooShortHasNoNotch) {
  const ToldOfCut told = told_of_cut(kSheet, {{0, 0}, {56, 0}, {56, 40}, {0, 40}}, 3.0);
  for (const Region& region : told.failed)
    EXPECT_FALSE(region.lacks);
}

TEST(CutOuts, AnEdgeThatLeansHasNoNotch) {
  const ToldOfCut told = told_of_cut(kSheet, {{0, 0}, {60, 0}, {57, 40}, {0, 40}}, 3.0);
  ASSERT_FALSE(told.failed.empty());
  for (const Region& region : told.failed)
    EXPECT_FALSE(region.lacks);
}

TEST(CutOuts, AnEdgeThatIsBowedInHasNoNotch) {
  const ToldOfCut told = told_of_cut(
      kSheet, {{0, 0}, {60, 0}, {59, 10}, {58.6, 20}, {59, 30}, {60, 40}, {0, 40}}, 3.0);
  for (const Region& region : told.failed)
    EXPECT_FALSE(region.lacks);
}

}  // namespace
}  // namespace trammel
