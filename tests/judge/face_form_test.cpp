#include "trammel/judge/face_form.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <vector>

#include "judge/cell_fixture.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const Vector3d kUp = Vector3d::UnitZ();

FaceForm form_at(const Vector3d& at, const test::CellFixture& f, double noise_mm = 0.0,
                 const MeasureFaceSettings& settings = {}) {
  const FoundFace found = SmoothFaces(f.index).at(at);
  EXPECT_EQ(found.reason, "");
  return face_form(
      values_of(cells_of_face(found.face, f.tree.cells()), f.readings, points_in_cells(f.readings)),
      found.face.normal, f.tree.cells(), noise_mm, settings);
}

/// The upper face of the box [0, 60] × [0, 40] × [0, 5] with such readings.
template <typename Deviation>
FaceForm upper_form(const Deviation& deviation, double noise_mm = 0.0,
                    const MeasureFaceSettings& settings = {}) {
  return form_at({10, 10, 5}, test::CellFixture(deviation), noise_mm, settings);
}

TEST(FaceForm, FlatnessOfALeaningFaceIsNothing) {
  const FaceForm form = upper_form(
      [](const Vector3d& p, const Vector3d&) { return 0.3 + 0.01 * p.x() - 0.02 * p.y(); });
  ASSERT_EQ(form.reason, "");
  EXPECT_LT(flatness_mm(form, kUp), 1e-5);
  EXPECT_NEAR(range_along_mm(form, kUp, kUp), 0.6 + 0.8, 0.1);  // blocks of 1.8 mm
  EXPECT_EQ(form.noise_reach_mm, 0.0);
}

// A bow of 0.4 mm along X: its minimum zone is as wide, less what blocks of 1.8 mm cannot show.
TEST(FaceForm, FlatnessOfABowIsItsHeight) {
  const FaceForm form = upper_form([](const Vector3d& p, const Vector3d&) {
    return 0.4 * (1.0 - std::pow((p.x() - 30) / 30, 2)) + 0.005 * p.y();
  });
  EXPECT_NEAR(flatness_mm(form, kUp), 0.4, 0.4 * 0.08);
  EXPECT_LE(flatness_mm(form, kUp), 0.4);
}

// A twist z = a x y / (half the sides) has its corners up by a, down by a: the minimum zone of its
// four corners is 2 a; the outermost blocks lie 0.9 mm inside of them or less.
TEST(FaceForm, FlatnessOfATwistIsThatOfItsCorners) {
  const FaceForm form = upper_form([](const Vector3d& p, const Vector3d&) {
    return 0.2 * (p.x() - 30) * (p.y() - 20) / (30 * 20);
  });
  EXPECT_NEAR(flatness_mm(form, kUp), 0.4 * (29.4 / 30) * (19.4 / 20), 0.02);
}

/// The upper face under noise of 0.1 mm, `points_mm2` points on a square millimetre: each cell
/// reads what a median of as many as its area holds would be off.
test::CellFixture noisy(std::uint64_t seed,
                        const std::function<double(const Vector3d&)>& points_mm2) {
  test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  Rng rng(seed);
  const SurfaceCells& cells = f.tree.cells();
  std::vector<int> cell_of_point;
  double owed = 0.0;
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    const double points = cells.area_mm2[c] * points_mm2(cells.center_mm.col(c));
    f.readings.deviation_mm[c] = std::sqrt(0.5 * kPi) * 0.1 / std::sqrt(points) * rng.normal();
    f.readings.support[c] = 3;  // the fewest that make a reading
    for (owed += points; owed >= 1.0; owed -= 1.0)
      cell_of_point.push_back(static_cast<int>(c));
  }
  f.readings.cell_of_point = Eigen::Map<const Eigen::VectorXi>(
      cell_of_point.data(), static_cast<Eigen::Index>(cell_of_point.size()));
  return f;
}

/// Of 40 flat faces under such noise, how many come out no wider than is said of it.
int within_noise(const std::function<double(const Vector3d&)>& points_mm2) {
  int within = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const FaceForm form = form_at({10, 10, 5}, noisy(seed, points_mm2), 0.1);
    const double flat = flatness_mm(form, kUp);
    within += flat <= 2.0 * form.noise_reach_mm ? 1 : 0;
    EXPECT_GT(flat, 0.2 * form.noise_reach_mm);
  }
  return within;
}

// The width that noise alone gives a flat face stays under what is said of it, nearly always, and
// is not a tenth of it.
TEST(FaceForm, NoiseAloneStaysWithinItsWidth) {
  EXPECT_GE(within_noise([](const Vector3d&) { return 12.0; }), 38);
}

// A tenth of the face has a sixth of the points: the mean noise of all would say less than the few
// make.
TEST(FaceForm, FewNoisyPlacesCountAsWhatTheyAre) {
  EXPECT_GE(within_noise([](const Vector3d& p) { return p.x() > 54 ? 2.0 : 12.0; }), 38);
}

// A few cells that read 5 mm off because two strays alone made them.
TEST(FaceForm, AReadingOfTwoStraysDoesNotCount) {
  test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  for (Eigen::Index c = 0; c < f.tree.cells().size(); ++c) {
    if ((f.tree.cells().center_mm.col(c) - Vector3d(20, 20, 5)).norm() > 1.0) continue;
    f.readings.deviation_mm[c] = 5.0;
    f.readings.support[c] = 2;
  }
  const FaceForm form = form_at({10, 10, 5}, f);
  EXPECT_LT(flatness_mm(form, kUp), 1e-6);
  EXPECT_LT(form.sight.share, 1.0);
}

// Blocks of 1.8 mm, half a block apart: a dent of 3.6 mm (cells of 0.8 mm blur its rim) has one to
// itself, one of 2 mm, the smallest that is judged by default, keeps half of its depth and more.
TEST(FaceForm, ADentKeepsItsDepth) {
  for (const double at : {0.0, 0.3, 0.6, 0.9, 1.3}) {
    const auto dent = [&](double side_mm) {
      return upper_form([&, side_mm](const Vector3d& p, const Vector3d& n) {
        return test::in_square(p - Vector3d(at, 0.5 * at, 0), n, side_mm) ? -0.5 : 0.0;
      });
    };
    EXPECT_GT(flatness_mm(dent(3.6), kUp), 0.49) << at;
    EXPECT_GT(flatness_mm(dent(2.0), kUp), 0.25) << at;
  }
}

TEST(FaceForm, SaysWhyItCouldNotBeMeasured) {
  const auto half = [](const Vector3d& p, const Vector3d&) {
    return p.x() < 30 ? 0.0 : test::kUnseen;
  };
  EXPECT_EQ(upper_form(half).reason, "only 50 % of it was seen");
  MeasureFaceSettings coarse;
  coarse.pooled_mm = 15.0;
  EXPECT_EQ(upper_form([](const Vector3d&, const Vector3d&) { return 0.0; }, 0.0, coarse).reason,
            "it is too small to be measured");
}

// The end x = 60 is 5 mm high: no four blocks of 1.8 mm, which a zone turned about Y could make
// nothing of.
TEST(FaceForm, ANarrowFaceDoesNotTellHowItLeans) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  const FaceForm end = form_at({60, 20, 2.5}, f);
  EXPECT_EQ(end.reason, "");
  EXPECT_FALSE(tells_its_lean(end, Vector3d::UnitX()));
  EXPECT_TRUE(tells_its_lean(form_at({10, 10, 5}, f), kUp));
}

// The upper face leans by 0.02 along X and 0.03 along Y. Square to the datum x = 0 it must reach
// 0.02 · 60 (less a block); the lean along Y is a turn about the datum's normal.
TEST(FaceForm, ZoneSquareToADatumMayTurnAboutItsNormal) {
  const FaceForm form = upper_form(
      [](const Vector3d& p, const Vector3d&) { return 0.02 * (p.x() - 30) + 0.03 * (p.y() - 20); });
  EXPECT_NEAR(range_square_to_mm(form, kUp, Vector3d::UnitX()), 0.02 * 60, 0.02 * 2.0);
  EXPECT_NEAR(range_square_to_mm(form, kUp, Vector3d::UnitY()), 0.03 * 40, 0.03 * 2.0);
  // The datum leans with it: square again, and what is left is the other lean's turn.
  EXPECT_LT(range_square_to_mm(form, kUp, Vector3d(1, 0, 0.02).normalized()), 1e-3);
}

TEST(FaceForm, KnowsTheSidesOfAFace) {
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  const SmoothFaces faces(f.index);
  const FaceSides top = sides_of(f.index.mesh(), faces.at({10, 10, 5}).face);
  EXPECT_NEAR(top.longer_mm, 60.0, 1e-9);
  EXPECT_NEAR(top.shorter_mm, 40.0, 1e-9);
  const SmoothFace end = faces.at({60, 20, 2.5}).face;
  EXPECT_NEAR(sides_of(f.index.mesh(), end).shorter_mm, 5.0, 1e-9);
  EXPECT_NEAR(extent_along_mm(f.index.mesh(), end, Vector3d::UnitY()), 40.0, 1e-9);
}

}  // namespace
}  // namespace trammel
