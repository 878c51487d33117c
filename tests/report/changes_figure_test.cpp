#include "trammel/report/changes_figure.hpp"

#include <gtest/gtest.h>

#include "report/sample_changes.hpp"
#include "trammel/report/changes_sheet.hpp"

namespace trammel {
namespace {

TEST(ChangesFigure, PointsAtTheChangeFromOutsideTheSurface) {
  const Changes changes = test::sample_changes();
  const ChangesFigure figure =
      changes_figure(changes, splats_of(changes), view_from({0, 0, 1}), 300, 300, 1.0);
  ASSERT_EQ(figure.balloons.size(), 1U);
  ASSERT_TRUE(figure.balloons[0].placed);
  const Eigen::Vector2d anchor = figure.anchors[0];
  EXPECT_GT(anchor.x(), figure.place.low.x());
  EXPECT_LT(anchor.x(), figure.place.center().x());  // (6, 6) lies left of the middle,
  EXPECT_GT(anchor.y(), figure.place.center().y());  // and below it
  const Eigen::Vector2d at = figure.balloons[0].center;
  const bool outside = at.x() < figure.place.low.x() || at.x() > figure.place.high.x() ||
                       at.y() < figure.place.low.y() || at.y() > figure.place.high.y();
  EXPECT_TRUE(outside);
}

TEST(ChangesFigure, LeavesOutWhatTheViewDoesNotShow) {
  const Changes changes = test::sample_changes();
  const ChangesFigure figure =
      changes_figure(changes, splats_of(changes), view_from({0, 0, -1}), 300, 300, 1.0);
  ASSERT_EQ(figure.balloons.size(), 1U);
  EXPECT_FALSE(figure.balloons[0].placed);
}

}  // namespace
}  // namespace trammel
