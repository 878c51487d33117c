#include "trammel/judge/measure_face.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// The face at the place, of the box [0, 60] × [0, 40] × [0, 5] with such readings.
template <typename Deviation>
MeasuredFace measured(const Vector3d& at_mm, const Deviation& deviation) {
  const test::CellFixture f(deviation);
  const FoundFace found = SmoothFaces(f.index).at(at_mm);
  EXPECT_EQ(found.reason, "");
  return measure_face(found.face, f.tree.cells(), f.readings);
}

TEST(MeasureFace, TellsHowHighItStandsOverTheDesign) {
  const MeasuredFace face = measured(
      {10, 10, 5}, [](const Vector3d&, const Vector3d& n) { return n.z() > 0.9 ? 0.2 : -3.0; });
  ASSERT_EQ(face.reason, "");
  EXPECT_NEAR(face.height_mm, 0.2, 1e-12);
  EXPECT_NEAR(face.height_uncertainty_mm, 0.0, 1e-9);
  EXPECT_NEAR(face.seen, 1.0, 1e-12);
}

TEST(MeasureFace, ReadsALeaningFaceAtThePlaceGiven) {
  const auto leaning = [](const Vector3d& p, const Vector3d&) {
    return 0.01 * (p.x() - 30) - 0.02 * (p.y() - 20);
  };
  EXPECT_NEAR(measured({50, 20, 5}, leaning).height_mm, 0.2, 1e-9);
  EXPECT_NEAR(measured({30, 30, 5}, leaning).height_mm, -0.2, 1e-9);
  EXPECT_NEAR(measured({5, 35, 0}, leaning).height_mm, -0.55, 1e-9);
  const auto normal = measured({50, 20, 5}, leaning).normal;
  ASSERT_TRUE(normal.has_value());
  EXPECT_LT((*normal - Vector3d(-0.01, 0.02, 1).normalized()).norm(), 1e-9);
}

// Independent noise a cell of 0.1 mm: the interval of 95 % holds the truth in 95 of 100 trials;
// of 200, outside 179 … 199 less than once in a thousand (binomial).
TEST(MeasureFace, ItsUncertaintyHoldsTheTruth) {
  int held = 0;
  for (int trial = 0; trial < 200; ++trial) {
    Rng rng(100 + static_cast<std::uint64_t>(trial));
    const MeasuredFace face = measured({50, 35, 5}, [&](const Vector3d& p, const Vector3d&) {
      return 0.003 * p.x() + 0.1 * rng.normal();
    });
    held += std::abs(face.height_mm - 0.15) <= face.height_uncertainty_mm ? 1 : 0;
    EXPECT_LT(face.height_uncertainty_mm, 0.02);
  }
  EXPECT_GE(held, 179);
  EXPECT_LE(held, 199);
}

TEST(MeasureFace, IsNotPulledByADentOrABlob) {
  const MeasuredFace face = measured({30, 20, 5}, [](const Vector3d& p, const Vector3d& n) {
    return test::in_square(p - Vector3d(8, 3, 0), n, 12) ? -2.0 : 0.01 * std::sin(9.0 * p.x());
  });
  EXPECT_NEAR(face.height_mm, 0.0, 0.005);
}

// A bow of 0.4 mm: the plane lies amid it, and what it cannot follow makes it less sure.
TEST(MeasureFace, ABowedFaceIsLessSure) {
  const auto bow = [](const Vector3d& p, const Vector3d&) {
    return 0.4 * (1.0 - std::pow((p.x() - 30) / 30, 2));
  };
  const MeasuredFace face = measured({30, 20, 5}, bow);
  EXPECT_NEAR(face.height_mm, 0.4 * 2 / 3, 0.02);
  EXPECT_NEAR(face.rms_mm, 0.4 * std::sqrt(4.0 / 45.0), 0.02);
  EXPECT_GT(face.height_uncertainty_mm, 0.01);
}

TEST(MeasureFace, HoldsTheDesignsDirectionAcrossANarrowFace) {
  const MeasuredFace face = measured(
      {30, 0, 2.5}, [](const Vector3d& p, const Vector3d&) { return 0.1 + 0.01 * (p.x() - 30); });
  ASSERT_EQ(face.reason, "");
  EXPECT_NEAR(face.height_mm, 0.1, 1e-3);
  EXPECT_FALSE(face.normal.has_value());
}

TEST(MeasureFace, SaysWhyItCouldNotBeMeasured) {
  const auto half = [](const Vector3d& p, const Vector3d&) {
    return p.x() < 30 ? 0.0 : test::kUnseen;
  };
  EXPECT_EQ(measured({10, 10, 5}, half).reason, "only 50 % of it was seen");
  const auto none = [](const Vector3d&, const Vector3d&) { return test::kUnseen; };
  EXPECT_EQ(measured({10, 10, 5}, none).reason, "only 0 % of it was seen");
  const test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  MeasureFaceSettings coarse;
  coarse.pooled_mm = 15.0;
  const FoundFace found = SmoothFaces(f.index).at({0, 20, 2.5});
  EXPECT_EQ(measure_face(found.face, f.tree.cells(), f.readings, coarse).reason,
            "it is too small to be measured");
}

// Two-sided 95 % points of Student's t (JCGM 100:2008, table G.2).
TEST(Student95, AgreesWithTheTableOfTheGum) {
  EXPECT_EQ(student_95(1.0), 12.706);
  EXPECT_EQ(student_95(5.9), 2.571);  // of fractions the lower degree: on the safe side
  EXPECT_EQ(student_95(10.0), 2.228);
  for (const auto& [freedom, t] : {std::pair(12.0, 2.18), std::pair(20.0, 2.09),
                                   std::pair(35.0, 2.03), std::pair(100.0, 1.984)})
    EXPECT_NEAR(student_95(freedom), t, 0.005 * t) << freedom;
  EXPECT_TRUE(std::isinf(student_95(0.5)));
  EXPECT_TRUE(std::isinf(student_95(std::nan(""))));
}

}  // namespace
}  // namespace trammel
