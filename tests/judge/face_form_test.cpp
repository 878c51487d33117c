#include "trammel/judge/face_form.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// The upper face of the box [0, 60] × [0, 40] × [0, 5] with such readings.
template <typename Deviation>
FaceForm upper_form(const Deviation& deviation, double noise_mm = 0.0,
                    const MeasureFaceSettings& settings = {}) {
  const test::CellFixture f(deviation);
  const FoundFace found = SmoothFaces(f.index).at({10, 10, 5});
  EXPECT_EQ(found.reason, "");
  return face_form(found.face, f.tree.cells(), f.readings, noise_mm, settings);
}

TEST(FaceForm, FlatnessOfALeaningFaceIsNothing) {
  const FaceForm form = upper_form(
      [](const Vector3d& p, const Vector3d&) { return 0.3 + 0.01 * p.x() - 0.02 * p.y(); });
  ASSERT_EQ(form.reason, "");
  EXPECT_LT(flatness_mm(form, Vector3d::UnitZ()), 1e-5);
  EXPECT_NEAR(range_along_mm(form, Vector3d::UnitZ()), 0.6 + 0.8, 0.1);  // blocks of 1.8 mm
  EXPECT_EQ(form.noise_width_mm(), 0.0);
}

// A bow of 0.4 mm along X: its minimum zone is as wide, less what blocks of 1.8 mm cannot show.
TEST(FaceForm, FlatnessOfABowIsItsHeight) {
  const FaceForm form = upper_form([](const Vector3d& p, const Vector3d&) {
    return 0.4 * (1.0 - std::pow((p.x() - 30) / 30, 2)) + 0.005 * p.y();
  });
  EXPECT_NEAR(flatness_mm(form, Vector3d::UnitZ()), 0.4, 0.4 * 0.08);
  EXPECT_LE(flatness_mm(form, Vector3d::UnitZ()), 0.4);
}

// Cells of the fixture stand for `support` points each and share none: the width that their noise
// gives a flat face stays under what is said of it, nearly always, and is not a tenth of it.
TEST(FaceForm, NoiseAloneStaysWithinItsWidth) {
  int within = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    Rng rng(seed);
    const double of_cell = std::sqrt(0.5 * 3.14159265) * 0.1 / std::sqrt(1.0 * 10);
    const FaceForm form =
        upper_form([&](const Vector3d&, const Vector3d&) { return of_cell * rng.normal(); }, 0.1);
    const double flat = flatness_mm(form, Vector3d::UnitZ());
    within += flat <= form.noise_width_mm() ? 1 : 0;
    EXPECT_GT(flat, 0.1 * form.noise_width_mm());
  }
  EXPECT_GE(within, 38);
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
