#include "trammel/judge/other_holes.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "support/wall_points.hpp"
#include "trammel/geometry/find_holes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::OrientedPoints;

/// A plate of 3 mm with holes of 8 mm at (15, 20) and (45, 20).
class OtherHoles : public testing::Test {
 protected:
  static OrientedPoints wall(double x_mm, double radius_mm) {
    test::WallShape shape;
    shape.center_mm = {x_mm, 20, 0};
    shape.radius_mm = radius_mm;
    shape.noise_mm = 0.02;
    return test::wall_of(shape, 500, Rng(1));
  }

  /// A disc of 0.5 mm spaced points about (15, 20, level) that looks up or down.
  static OrientedPoints disc(double level_mm, double up, double radius_mm = 4.0) {
    return test::level_disc({15, 20, level_mm}, radius_mm, up);
  }

  std::vector<OtherHole> list(const OrientedPoints& scan) {
    Deviations deviations;
    deviations.reading.assign(static_cast<std::size_t>(scan.points_mm.cols()), reading_);
    deviations.foot_mm = scan.points_mm + Vector3d(0, 0, -0.1).replicate(1, scan.points_mm.cols());
    return other_holes({plate_,
                        holes_,
                        planned_,
                        {scan.points_mm, scan.normals, deviations, 0.0, 0.02, 0.5},
                        pose_is_sure_});
  }
  HoleState state_of_first(const OrientedPoints& scan) { return list(scan).front().state; }

  Mesh plate_ = test::plate(60, 40, 3, {{{15, 20}, 8, 48}, {{45, 20}, 8, 48}});
  std::vector<DesignHole> holes_ = find_holes(plate_).holes;
  std::vector<HoleResult> planned_;
  bool pose_is_sure_ = true;
  Reading reading_ = Reading::Beside;
};

TEST_F(OtherHoles, AreMeasuredWhereTheirWallWasSeen) {
  OrientedPoints scan = wall(15.3, 4.1);
  const auto out = list(scan);
  ASSERT_EQ(out.size(), 2U);
  EXPECT_EQ(out[0].state, HoleState::Measured);
  EXPECT_LT((out[0].center_mm - Vector3d(15, 20, 1.5)).norm(), 1e-9);
  EXPECT_NEAR(out[0].drawn_diameter_mm, 8.0, 1e-9);
  EXPECT_NEAR(out[0].depth_mm, 3.0, 1e-9);
  // 500 points of 0.02 mm: 1 σ of the centre is 0.02 √(2/500) = 0.0013, of the diameter 0.0018.
  EXPECT_NEAR(*out[0].diameter_mm, 8.2, 0.008);
  EXPECT_LT((*out[0].offset_mm - Vector3d(0.3, 0, 0)).norm(), 0.008);
  EXPECT_EQ(out[0].reason, "");
  EXPECT_EQ(out[1].state, HoleState::Unseen);
  EXPECT_EQ(out[1].reason, "its wall was not seen; the face around it was not seen");
  EXPECT_FALSE(out[1].diameter_mm.has_value());
}

TEST_F(OtherHoles, LeaveOutThoseOfThePlan) {
  HoleResult hole;
  hole.nominal_mm = {15, 20, 3};
  hole.axis = -Vector3d::UnitZ();
  hole.nominal_diameter_mm = 8.0;
  planned_ = {hole};
  const auto out = list({});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_LT((out[0].center_mm - Vector3d(45, 20, 1.5)).norm(), 1e-9);
  planned_[0].nominal_diameter_mm = 5.0;  // a narrower hole on the same axis is another
  EXPECT_EQ(list({}).size(), 2U);
}

TEST_F(OtherHoles, AreClosedWhereASurfaceLiesAcrossThem) {
  EXPECT_EQ(state_of_first(disc(3.0, 1.0)), HoleState::Closed);   // never drilled, seen from above
  EXPECT_EQ(state_of_first(disc(0.0, -1.0)), HoleState::Closed);  // from below
  EXPECT_EQ(state_of_first(disc(1.4, 1.0)), HoleState::Closed);   // does not go through
  EXPECT_EQ(list(disc(1.4, 1.0)).front().reason, "a scanned surface lies across it");
  OrientedPoints blind = wall(15, 4);
  blind.add(disc(1.4, 1.0));
  EXPECT_EQ(state_of_first(blind), HoleState::Closed);
}

TEST_F(OtherHoles, AreNotClosedByWhatLiesBehindOrBesideThem) {
  EXPECT_EQ(state_of_first(disc(0.0, 1.0)), HoleState::Unseen);       // the bench below
  EXPECT_EQ(state_of_first(disc(0.2, 1.0)), HoleState::Unseen);       // and its noise
  EXPECT_EQ(state_of_first(disc(3.0, -1.0)), HoleState::Unseen);      // the bench, part turned over
  EXPECT_EQ(state_of_first(disc(-1.0, -1.0)), HoleState::Unseen);     // out of the hole
  EXPECT_EQ(state_of_first(disc(1.4, 1.0, 1.2)), HoleState::Unseen);  // a wire across
  OrientedPoints open = wall(15, 4);
  open.add(disc(0.0, 1.0));
  EXPECT_EQ(state_of_first(open), HoleState::Measured);
}

TEST_F(OtherHoles, TheFloorOfABlindHoleThatIsDrawnDoesNotCloseIt) {
  for (const double turn : {1.0, -1.0}) {  // whichever way the design's axis runs
    DesignHole blind = holes_.front();
    blind.axis *= turn;
    holes_ = {blind};
    OrientedPoints scan = wall(15, 4);
    scan.add(disc(0.05, 1.0));
    EXPECT_EQ(state_of_first(scan), HoleState::Measured);
  }
}

// The top of a pin that stands in a round pocket is drawn there.
TEST_F(OtherHoles, ASurfaceThatIsDrawnInsideDoesNotCloseThem) {
  EXPECT_EQ(state_of_first(disc(1.4, 1.0)), HoleState::Closed);
  reading_ = Reading::Measured;  // its feet lie inside the hole
  EXPECT_EQ(state_of_first(disc(1.4, 1.0)), HoleState::Unseen);
}

TEST_F(OtherHoles, AreUnseenWhileThePoseIsInDoubt) {
  pose_is_sure_ = false;
  const auto out = list(disc(3.0, 1.0));
  EXPECT_EQ(out.front().state, HoleState::Unseen);
  EXPECT_EQ(out.front().reason, "the scan's place on the design is not sure");
}

}  // namespace
}  // namespace trammel
