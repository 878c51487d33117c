#include "trammel/report/balloons.hpp"

#include <gtest/gtest.h>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

const FlatBox kOutline{{60, 40}, {260, 240}};
const FlatBox kRoom{{0, 0}, {320, 280}};

std::vector<BalloonRequest> random_requests(Rng& rng, std::size_t count) {
  std::vector<BalloonRequest> requests(count);
  for (BalloonRequest& request : requests) {
    request.anchor = {rng.uniform(60, 260), rng.uniform(40, 240)};
    request.half_width = rng.uniform() < 0.3 ? rng.uniform(9, 26) : 9.0;
  }
  return requests;
}

Eigen::Vector2d end_of_core(const Balloon& balloon, double side) {
  return balloon.center + Eigen::Vector2d(side * (balloon.half_width - 9.0), 0.0);
}

/// Distance between the rims of two balloons.
double rim_distance(const Balloon& a, const Balloon& b) {
  return segment_distance(end_of_core(a, -1), end_of_core(a, 1), end_of_core(b, -1),
                          end_of_core(b, 1)) -
         18.0;
}

/// Distance between the rim of one balloon and the leader of another.
double leader_distance(const Balloon& a, const Balloon& b, const Eigen::Vector2d& anchor_of_b) {
  return segment_distance(end_of_core(a, -1), end_of_core(a, 1), b.leader_start, anchor_of_b) - 9.0;
}

TEST(Balloons, NeverTouchEachOtherNorALeaderNorCrossOnRandomAnchors) {
  Rng rng(7);
  for (int round = 0; round < 50; ++round) {
    const auto requests = random_requests(rng, 1 + rng.index(14));
    const auto balloons = place_balloons(requests, kOutline, kRoom);
    ASSERT_EQ(balloons.size(), requests.size());
    for (std::size_t i = 0; i < balloons.size(); ++i) {
      for (std::size_t j = 0; j < balloons.size(); ++j) {
        if (i == j || !balloons[i].placed || !balloons[j].placed) continue;
        EXPECT_GT(rim_distance(balloons[i], balloons[j]), 0.0);
        EXPECT_GT(leader_distance(balloons[i], balloons[j], requests[j].anchor), 0.0);
        EXPECT_FALSE(segments_meet(balloons[i].leader_start, requests[i].anchor,
                                   balloons[j].leader_start, requests[j].anchor));
      }
    }
  }
}

TEST(Balloons, StandOutsideTheOutlineAndInsideTheRoom) {
  Rng rng(8);
  for (int round = 0; round < 50; ++round) {
    for (const Balloon& balloon : place_balloons(random_requests(rng, 8), kOutline, kRoom)) {
      if (!balloon.placed) continue;
      const double x = balloon.center.x(), y = balloon.center.y(), w = balloon.half_width;
      EXPECT_TRUE(x + w <= 60 || x - w >= 260 || y + 9 <= 40 || y - 9 >= 240);
      EXPECT_GE(x - w, -1e-9);
      EXPECT_LE(x + w, 320 + 1e-9);
      EXPECT_GE(y - 9, -1e-9);
      EXPECT_LE(y + 9, 280 + 1e-9);
    }
  }
}

/// A part as a view shows it: a box of any shape in a room of any shape, places anywhere on it.
struct RandomPart {
  explicit RandomPart(Rng& rng) {
    room = {{0, 0}, {rng.uniform(160, 540), rng.uniform(160, 420)}};
    const Eigen::Vector2d size(rng.uniform(20, room.high.x() - 130),
                               rng.uniform(20, room.high.y() - 60));
    const Eigen::Vector2d low(rng.uniform(65, room.high.x() - 65 - size.x()),
                              rng.uniform(30, room.high.y() - 30 - size.y()));
    outline = {low, low + size};
    requests.resize(1 + rng.index(20));
    for (BalloonRequest& request : requests) {
      request.anchor = {rng.uniform(low.x(), low.x() + size.x()),
                        rng.uniform(low.y(), low.y() + size.y())};
      request.half_width = rng.uniform() < 0.4 ? rng.uniform(9, 30) : 9.0;
    }
  }
  FlatBox room, outline;
  std::vector<BalloonRequest> requests;
};

TEST(Balloons, OnFiftyRandomPartsNothingIsCoveredAndNothingSticksOut) {
  Rng rng(11);
  std::size_t placed = 0;
  for (int round = 0; round < 50; ++round) {
    const RandomPart part(rng);
    const auto balloons = place_balloons(part.requests, part.outline, part.room);
    ASSERT_EQ(balloons.size(), part.requests.size());
    EXPECT_TRUE(balloons[0].placed) << round;  // the worst is always shown
    for (std::size_t i = 0; i < balloons.size(); ++i) {
      const Balloon& balloon = balloons[i];
      if (!balloon.placed) continue;
      ++placed;
      EXPECT_GE(balloon.center.x() - balloon.half_width, part.room.low.x() - 1e-9) << round;
      EXPECT_LE(balloon.center.x() + balloon.half_width, part.room.high.x() + 1e-9) << round;
      EXPECT_GE(balloon.center.y() - 9.0, part.room.low.y() - 1e-9) << round;
      EXPECT_LE(balloon.center.y() + 9.0, part.room.high.y() + 1e-9) << round;
      for (std::size_t j = 0; j < balloons.size(); ++j) {
        // No balloon on a place that any of them marks, itself among them.
        EXPECT_GT(distance_to_segment(part.requests[j].anchor, end_of_core(balloon, -1),
                                      end_of_core(balloon, 1)),
                  9.0)
            << round;
        if (i == j || !balloons[j].placed) continue;
        EXPECT_GT(rim_distance(balloon, balloons[j]), 0.0) << round;
        EXPECT_GT(leader_distance(balloon, balloons[j], part.requests[j].anchor), 0.0) << round;
        EXPECT_FALSE(segments_meet(balloon.leader_start, part.requests[i].anchor,
                                   balloons[j].leader_start, part.requests[j].anchor))
            << round;
      }
    }
  }
  EXPECT_GT(placed, 200U);  // of some 500: the test looks at something
}

TEST(Balloons, AHandfulAlwaysFindsRoom) {
  Rng rng(9);
  for (int round = 0; round < 50; ++round) {
    for (const Balloon& balloon : place_balloons(random_requests(rng, 5), kOutline, kRoom))
      EXPECT_TRUE(balloon.placed);
  }
}

TEST(Balloons, TheFirstKeepsItsPlaceWhereThereIsRoomForOne) {
  const FlatBox narrow{{0, 0}, {90, 30}};
  const FlatBox outline{{40, 5}, {85, 25}};
  const auto balloons =
      place_balloons({{{50, 15}, 9}, {{60, 15}, 9}, {{70, 12}, 9}}, outline, narrow);
  EXPECT_TRUE(balloons[0].placed);
  EXPECT_FALSE(balloons[1].placed);
  EXPECT_FALSE(balloons[2].placed);
}

TEST(Balloons, SegmentsThatTouchOrCrossMeet) {
  EXPECT_TRUE(segments_meet({0, 0}, {2, 2}, {0, 2}, {2, 0}));
  EXPECT_TRUE(segments_meet({0, 0}, {2, 0}, {1, 0}, {1, 5}));
  EXPECT_FALSE(segments_meet({0, 0}, {2, 0}, {0, 1}, {2, 1}));
  EXPECT_FALSE(segments_meet({0, 0}, {1, 1}, {2, 2.1}, {3, 3}));
  EXPECT_DOUBLE_EQ(segment_distance({0, 0}, {2, 0}, {3, 1}, {3, -1}), 1.0);
}

}  // namespace
}  // namespace trammel
