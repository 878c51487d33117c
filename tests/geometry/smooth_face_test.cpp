#include "trammel/geometry/smooth_face.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

FoundFace smooth_face_at(const SurfaceIndex& design, const Vector3d& place_mm) {
  return SmoothFaces(design).at(place_mm);
}

/// A bar along y, 40 mm wide, 20 mm high and 30 mm long, its two upper edges rounded with radius 2
/// in `facets` facets.
Mesh rounded_bar(int facets) {
  std::vector<Eigen::Vector2d> outline{{0, 0}, {40, 0}};
  for (int i = 0; i <= facets; ++i) {
    const double turn = 0.5 * kPi * i / facets;
    outline.emplace_back(38 + 2 * std::cos(turn), 18 + 2 * std::sin(turn));
  }
  for (int i = 0; i <= facets; ++i) {
    const double turn = 0.5 * kPi * (1.0 + static_cast<double>(i) / facets);
    outline.emplace_back(2 + 2 * std::cos(turn), 18 + 2 * std::sin(turn));
  }
  return test::extrude({outline}, 30);
}

TEST(SmoothFace, IsTheFlatFaceWithItsAreaAndNormal) {
  const SurfaceIndex design(test::plate(60, 40, 3, {{{30, 20}, 8.4, 48}}));
  const FoundFace found = smooth_face_at(design, {5, 5, 3.05});  // a little above the face
  EXPECT_EQ(found.reason, "");
  EXPECT_TRUE(found.face.flat);
  EXPECT_LT((found.face.normal - Vector3d::UnitZ()).norm(), 1e-12);
  const double hole = 0.5 * 48 * 4.2 * 4.2 * std::sin(2 * kPi / 48);  // of the polygon
  EXPECT_NEAR(found.face.area_mm2, 60 * 40 - hole, 1e-9);
  EXPECT_LT((found.face.at_mm - Vector3d(5, 5, 3)).norm(), 1e-12);
}

TEST(SmoothFace, IsTheWholeWallOfAHoleHoweverCoarse) {
  for (const int facets : {12, 24, 96}) {
    // Large enough that every facet could be a flat face of its own.
    const SurfaceIndex design(test::plate(100, 100, 40, {{{50, 50}, 40, facets}}));
    const double turn = kPi / facets;
    const Vector3d mid_facet(50 + 20 * std::cos(turn) * std::cos(turn),
                             50 + 20 * std::cos(turn) * std::sin(turn), 20);
    const FoundFace found = smooth_face_at(design, mid_facet);
    ASSERT_EQ(found.reason, "") << facets;
    if (facets == 12) {  // 30° between facets as large as faces: each is taken for a face
      EXPECT_TRUE(found.face.flat);
      continue;
    }
    EXPECT_FALSE(found.face.flat);
    EXPECT_NEAR(found.face.area_mm2, 40 * facets * 2 * 20 * std::sin(kPi / facets), 1e-6) << facets;
  }
}

TEST(SmoothFace, EndsAtTheRoundingOfAnEdge) {
  for (const int facets : {3, 5, 20}) {
    const SurfaceIndex design(rounded_bar(facets));
    const FoundFace top = smooth_face_at(design, {20, 20, 15});
    ASSERT_EQ(top.reason, "");
    EXPECT_TRUE(top.face.flat);
    EXPECT_NEAR(top.face.area_mm2, 36 * 30, 1e-9) << facets;
    const FoundFace side = smooth_face_at(design, {0, 5, 15});
    EXPECT_NEAR(side.face.area_mm2, 18 * 30, 1e-9) << facets;
    const double turn = kPi / 4 + (facets % 2 == 0 ? kPi / 4 / facets : 0.0);  // mid facet
    const FoundFace round =
        smooth_face_at(design, {38 + 2 * std::cos(turn) * std::cos(kPi / 4 / facets),
                                18 + 2 * std::sin(turn) * std::cos(kPi / 4 / facets), 15});
    EXPECT_FALSE(round.face.flat) << facets;
    EXPECT_NEAR(round.face.area_mm2, facets * 4 * std::sin(kPi / 4 / facets) * 30, 1e-6) << facets;
  }
}

TEST(SmoothFace, IsNotNamedByAPointFarAwayOrOnAnEdge) {
  const SurfaceIndex design(test::box({0, 0, 0}, {60, 40, 5}));
  EXPECT_EQ(smooth_face_at(design, {30, 20, 10}).reason,
            "the design's surface is 5.0 mm away from there");
  EXPECT_EQ(smooth_face_at(design, {30, 40, 5}).reason, "that is on the edge between two faces");
  EXPECT_EQ(smooth_face_at(design, {60, 40, 5}).reason, "that is on the edge between two faces");
  // The diagonal of a face is an edge of the mesh, and no edge of the part.
  EXPECT_EQ(smooth_face_at(design, {30, 20, 5}).reason, "");
}

TEST(ZoneFaces, HoldWhatLiesOnTheirFaceAlone) {
  const SurfaceIndex design(test::box({0, 0, 0}, {60, 40, 5}));
  std::vector<Zone> zones{{"top", FaceShape{{30, 20, 5}}, {}},
                          {"ball", SphereShape{{0, 0, 0}, 1.0}, {}}};
  const auto notes = find_zone_faces(zones, design, "p.toml");
  ASSERT_EQ(notes.size(), 1U);
  EXPECT_EQ(notes[0], "Zone 'top' is the flat face of 2400 mm² at (30.0, 20.0, 5.0)");
  EXPECT_TRUE(zones[0].holds({1, 1, 5}));
  EXPECT_TRUE(zones[0].holds({59, 39, 5.001}));
  EXPECT_FALSE(zones[0].holds({1, 1, 0}));
  EXPECT_FALSE(zones[0].holds({60, 20, 2.5}));
  EXPECT_FALSE(zones[0].holds({30, 20, 4.9}));
  EXPECT_TRUE(zones[1].holds({0, 0, 0.5}));
}

TEST(ZoneFaces, RefuseAPointThatNamesNoFace) {
  const SurfaceIndex design(test::box({0, 0, 0}, {60, 40, 5}));
  std::vector<Zone> zones{{"top", FaceShape{{30, 20, 15}}, {}}};
  try {
    (void)find_zone_faces(zones, design, "p.toml");
    FAIL();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Input);
    EXPECT_EQ(error.where(), "p.toml");
    EXPECT_NE(error.problem().find("zone 'top', found (30.0, 20.0, 15.0): the design's surface is "
                                   "10.0 mm away"),
              std::string::npos)
        << error.problem();
  }
}

}  // namespace
}  // namespace trammel
