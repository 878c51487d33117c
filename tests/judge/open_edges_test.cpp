#include "trammel/judge/open_edges.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

using Eigen::Index;

/// A square of scanned surface, 1 mm² a point, whose feet lie on a border `off_mm` below it.
class BeyondOpenEdges : public ::testing::Test {
 protected:
  std::vector<std::string> reasons(double side_mm, double off_mm, double apart_mm = 1.0) {
    const auto n = static_cast<Index>(side_mm);
    Eigen::Matrix3Xd points_mm(3, n * n);
    for (Index i = 0; i < n * n; ++i)
      points_mm.col(i) << apart_mm * static_cast<double>(i % n),
          apart_mm * static_cast<double>(i / n), off_mm;
    Deviations deviations;
    deviations.reading.assign(static_cast<std::size_t>(n * n), reading_);
    deviations.foot_mm = points_mm;
    deviations.foot_mm.row(2).setZero();
    return beyond_open_edges({plan_, deviations, points_mm, 0.1, 0.7, 1.0});
  }

  Plan plan_;  // ±0.5, 4 mm²
  Reading reading_ = Reading::BorderEdge;
};

TEST_F(BeyondOpenEdges, APatchFartherThanTheBandIsNotKnown) {
  EXPECT_EQ(reasons(6, 3.0).size(), 1U);
  EXPECT_EQ(reasons(6, 0.45).size(), 1U) << "within U of the limit";
}

TEST_F(BeyondOpenEdges, WithinTheBandNoSideIsAskedFor) {
  EXPECT_TRUE(reasons(6, 0.39).empty());
}

TEST_F(BeyondOpenEdges, LessThanIsJudgedIsLeftOut) {
  EXPECT_TRUE(reasons(1, 3.0).empty());
  plan_.least_area_mm2 = 50.0;
  EXPECT_TRUE(reasons(6, 3.0).empty());
}

TEST_F(BeyondOpenEdges, StraysHaveNoCompany) {
  EXPECT_TRUE(reasons(6, 3.0, 10.0).empty());
}

TEST_F(BeyondOpenEdges, OtherReadingsAreJudgedElsewhere) {
  reading_ = Reading::Measured;
  EXPECT_TRUE(reasons(6, 3.0).empty());
}

}  // namespace
}  // namespace trammel
