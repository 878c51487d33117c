#include "trammel/geometry/sheet_sides.hpp"

#include <gtest/gtest.h>

#include "support/panel.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

const std::vector<Eigen::Vector3d> kViewsFromAbove{
    {0.1, 0.2, 1}, {1, 0.4, 0.7}, {-1, 0.3, 0.6}, {0.2, -1, 0.4}, {0.1, 1, 0.3}};

Scan scan_of(const Mesh& part, double noise_mm, std::vector<Eigen::Vector3d> views = {},
             std::size_t points = 25'000) {
  test::ScannerSettings settings;
  settings.points = points;
  settings.noise_mm = noise_mm;
  settings.views = std::move(views);
  return test::scan_of(part, settings, Rng(7)).scan;
}

struct Shares {
  double right = 0.0, wrong = 0.0;  ///< of all points, within and beyond 90°
};

/// Against the normals that the scanner knew.
Shares shares_of(const SheetSides& sides, const Scan& scan) {
  Shares out;
  for (Eigen::Index i = 0; i < scan.size(); ++i) {
    const double cosine = sides.normals.col(i).dot(scan.normals.col(i));
    (cosine > 0.0 ? out.right : out.wrong) += 1.0 / static_cast<double>(scan.size());
  }
  return out;
}

TEST(SidesOfSheet, AreToldByItsOtherFace) {
  // Points 1.9 mm apart: of the nearest thirty half are of the other face.
  for (const double thickness_mm : {1.5, 3.0}) {
    const Scan scan = scan_of(test::tray(thickness_mm), 0.03);
    const SheetSides sides = sides_of_sheet(scan.points_mm);
    EXPECT_GT(sides.told, 0.9) << thickness_mm;
    EXPECT_LT(shares_of(sides, scan).wrong, 0.005) << thickness_mm;
  }
}

TEST(SidesOfSheet, GoOnRoundEdgesToAFaceWithoutAnother) {
  // From above the floor, two fifths of what is seen, has none: the walls about it tell.
  const Scan scan = scan_of(test::tray(2.0), 0.03, kViewsFromAbove);
  const SheetSides sides = sides_of_sheet(scan.points_mm);
  EXPECT_GT(sides.told, 0.9);
  EXPECT_LT(shares_of(sides, scan).wrong, 0.005);
}

TEST(SidesOfSheet, AreNotToldWhereNoneShowsBothFaces) {
  // A panel has no back, a box is thicker than 60 points reach.
  EXPECT_EQ(sides_of_sheet(scan_of(test::wing_panel(), 0.05, test::panel_views()).points_mm).told,
            0.0);
  const Scan block = scan_of(test::box({0, 0, 0}, {80, 60, 40}), 0.03);
  EXPECT_EQ(sides_of_sheet(block.points_mm).told, 0.0);
  EXPECT_EQ(sides_of_sheet(Eigen::Matrix3Xd::Random(3, 20)).told, 0.0) << "too few";
}

TEST(SidesOfSheet, AreNoneAmidNoiseAsLargeAsTheSheetIsThick) {
  // A sixth of the thickness is the most noise at which two faces are two.
  EXPECT_EQ(sides_of_sheet(scan_of(test::tray(1.0), 0.3).points_mm).told, 0.0);
}

TEST(SidesOfSheet, OfMorePointsThanAreAskedAreThoseOfTheNearest) {
  const Scan scan = scan_of(test::tray(2.0), 0.03, {}, 65'000);
  const SheetSides sides = sides_of_sheet(scan.points_mm);
  ASSERT_EQ(sides.normals.cols(), scan.size());
  EXPECT_LT(shares_of(sides, scan).wrong, 0.005);
}

}  // namespace
}  // namespace trammel
