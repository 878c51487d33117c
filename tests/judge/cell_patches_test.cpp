#include "trammel/judge/cell_patches.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

/// Cells of a box of 60 × 40 × 5 mm, chosen by where they lie.
template <typename Choose>
std::vector<std::vector<int>> patches_of(const SurfaceCells& cells, const Choose& choose) {
  std::vector<std::uint8_t> chosen;
  for (Eigen::Index c = 0; c < cells.size(); ++c)
    chosen.push_back(choose(Eigen::Vector3d(cells.center_mm.col(c))) ? 1 : 0);
  return cell_patches(cells, chosen);
}

TEST(CellPatches, JoinOverEdgesAndKeepApartWhatDoesNotTouch) {
  const SurfaceCells cells = CellTree(test::box({0, 0, 0}, {60, 40, 5}), 1.0).take_cells();
  const auto ends =
      patches_of(cells, [](const Eigen::Vector3d& p) { return p.x() < 10.0 || p.x() > 50.0; });
  ASSERT_EQ(ends.size(), 2U);
  std::size_t together = 0;
  for (const auto& patch : ends) {
    const bool low = cells.center_mm(0, patch.front()) < 10.0;
    for (const int cell : patch)
      EXPECT_EQ(cells.center_mm(0, cell) < 10.0, low);
    together += patch.size();
  }
  EXPECT_EQ(together, static_cast<std::size_t>(((cells.center_mm.row(0).array() < 10.0) ||
                                                (cells.center_mm.row(0).array() > 50.0))
                                                   .count()));
}

TEST(CellPatches, AreCloseOverGapsNotWiderThanAsked) {
  const SurfaceCells cells = CellTree(test::box({0, 0, 0}, {60, 40, 5}), 1.0).take_cells();
  // Three strips of the upper face, 2 mm and some 20 mm apart.
  const auto strips = patches_of(cells, [](const Eigen::Vector3d& p) {
    const double x = p.x();
    return p.z() > 4.99 && ((x > 10 && x < 14) || (x > 17 && x < 20) || (x > 40 && x < 44));
  });
  ASSERT_EQ(strips.size(), 3U);
  using Groups = std::vector<std::vector<std::size_t>>;
  const auto groups = [&](double gap_mm) { return patches_close_together(cells, strips, gap_mm); };
  EXPECT_EQ(groups(1.0).size(), 3U);
  EXPECT_EQ(groups(5.0).size(), 2U);
  EXPECT_EQ(groups(30.0), (Groups{{0, 1, 2}}));
  EXPECT_TRUE(patches_close_together(cells, {}, 1.0).empty());
}

TEST(CellPatches, ABoxHasSixSmoothFacesAndARoundBarThree) {
  const SurfaceCells box = CellTree(test::box({0, 0, 0}, {60, 40, 5}), 2.0).take_cells();
  const std::vector<int> faces = smooth_face_of_cells(box, 0.7071);
  EXPECT_EQ(*std::max_element(faces.begin(), faces.end()), 5);
  for (Eigen::Index c = 1; c < box.size(); ++c) {
    const bool same = box.normal.col(c).dot(box.normal.col(0)) > 0.9;
    EXPECT_EQ(faces[static_cast<std::size_t>(c)] == faces.front(), same);
  }
  const SurfaceCells bar = CellTree(test::cylinder(10.0, 30.0, 48), 2.0).take_cells();
  const std::vector<int> round = smooth_face_of_cells(bar, 0.7071);
  EXPECT_EQ(*std::max_element(round.begin(), round.end()), 2) << "two ends and one wall";
}

TEST(CellPatches, AllOfAClosedSurfaceIsOneAndNothingIsNone) {
  const SurfaceCells cells = CellTree(test::box({0, 0, 0}, {60, 40, 5}), 2.0).take_cells();
  const auto all = patches_of(cells, [](const Eigen::Vector3d&) { return true; });
  ASSERT_EQ(all.size(), 1U);
  EXPECT_EQ(all[0].size(), static_cast<std::size_t>(cells.size()));
  EXPECT_TRUE(patches_of(cells, [](const Eigen::Vector3d&) { return false; }).empty());
}

}  // namespace
}  // namespace trammel
