#include "trammel/judge/judge_distance.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// The box [0, 60] × [0, 40] × [0, 5], U = 0.05, with holes A, B along z and C along x.
class JudgeDistance : public testing::Test {
 protected:
  void SetUp() override {
    holes_ = {hole("A", {10, 10, 5}), hole("B", {40, 30, 0}), hole("C", {0, 20, 2})};
    holes_[2].axis = Vector3d::UnitX();
  }

  static HoleResult hole(const std::string& name, const Vector3d& at_mm) {
    HoleResult out;
    out.name = name;
    out.nominal_mm = at_mm;
    out.nominal_diameter_mm = 4.0;
    out.offset_mm = Vector3d::Zero();
    return out;
  }

  template <typename Deviation>
  DistanceResult judged(const DistanceCheck& check, const Deviation& deviation) {
    test::CellFixture f(deviation);
    f.plan.distances = {check};
    const auto out = judge_distances(
        {f.plan, f.index, holes_, f.tree.cells(), f.readings, 0.05, alignment_error_mm_});
    EXPECT_EQ(out.size(), 1U);
    return out.front();
  }
  DistanceResult judged(const DistanceCheck& check) {
    return judged(check, [](const Vector3d&, const Vector3d&) { return 0.0; });
  }

  /// Thickness at (30, 20), the upper face `proud_mm` too high.
  DistanceResult thickness(double proud_mm, const Band& band) {
    return judged({"t", Vector3d(30, 20, 0), Vector3d(30, 20, 5), {}, band},
                  [&](const Vector3d&, const Vector3d& n) { return n.z() > 0.9 ? proud_mm : 0.0; });
  }

  std::vector<HoleResult> holes_;
  double alignment_error_mm_ = 0.0;
};

// Faces that look opposite ways: U = 2 · 0.05 = 0.1 (their readings scatter by nothing).
TEST_F(JudgeDistance, DecidesOnAThicknessWithItsUncertainty) {
  const Band band{0.3, 0.2};
  EXPECT_EQ(thickness(0.0, band).outcome, Outcome::Pass);
  EXPECT_EQ(thickness(0.19, band).outcome, Outcome::Pass);
  EXPECT_EQ(thickness(0.21, band).outcome, Outcome::Undecided);
  EXPECT_EQ(thickness(0.39, band).outcome, Outcome::Undecided);
  EXPECT_EQ(thickness(0.41, band).outcome, Outcome::Fail);
  EXPECT_EQ(thickness(-0.09, band).outcome, Outcome::Pass);
  EXPECT_EQ(thickness(-0.11, band).outcome, Outcome::Undecided);
  EXPECT_EQ(thickness(-0.31, band).outcome, Outcome::Fail);
  const DistanceResult out = thickness(0.41, band);
  EXPECT_NEAR(*out.drawn_mm, 5.0, 1e-12);
  EXPECT_NEAR(*out.nominal_mm, 5.0, 1e-12);
  EXPECT_NEAR(*out.least_mm, 4.8, 1e-12);
  EXPECT_NEAR(*out.most_mm, 5.3, 1e-12);
  EXPECT_NEAR(*out.actual_mm, 5.41, 1e-9);
  EXPECT_NEAR(out.uncertainty_mm, 0.1, 1e-9);
  EXPECT_EQ(out.reasons, std::vector<std::string>{"5.41 mm is more than 5.30 mm"});
  EXPECT_EQ(out.measured_as,
            "from the face at (30.0, 20.0, 0.0) to the face at (30.0, 20.0, 5.0), read at the "
            "places given, along the drawn normal +Z");
  EXPECT_EQ(thickness(-0.31, band).reasons.front(), "4.69 mm is less than 4.80 mm");
}

TEST_F(JudgeDistance, ALeaningFaceIsReadAtItsPlace) {
  const auto leaning = [](const Vector3d& p, const Vector3d& n) {
    return n.z() > 0.9 ? 0.02 * (p.x() - 30) : 0.0;
  };
  const Band band{0.3, 0.3};
  const auto at = [&](double x) {
    return judged({"t", Vector3d(x, 20, 0), Vector3d(x, 20, 5), {}, band}, leaning);
  };
  EXPECT_NEAR(*at(30).actual_mm, 5.0, 1e-6);
  EXPECT_EQ(at(30).outcome, Outcome::Pass);
  EXPECT_NEAR(*at(55).actual_mm, 5.5, 1e-6);
  EXPECT_EQ(at(55).outcome, Outcome::Fail);
  ASSERT_TRUE(at(30).lean_rad.has_value());
  EXPECT_NEAR(*at(30).lean_rad, std::atan(0.02), 1e-6);
}

// Between A and B: (30, 20) across z, √1300 = 36.0555; U = √2 · 0.05 = 0.0707 and the fits' 2 s.
TEST_F(JudgeDistance, TakesTwoHolesAcrossTheirAxes) {
  const DistanceCheck check{"pitch", "A", "B", {}, Band{0.2, 0.2}};
  EXPECT_NEAR(*judged(check).actual_mm, std::sqrt(1300.0), 1e-9);
  EXPECT_EQ(judged(check).outcome, Outcome::Pass);
  holes_[1].offset_mm = Vector3d(0.3, 0.2, 0);
  const DistanceResult off = judged(check);
  EXPECT_NEAR(*off.actual_mm, std::hypot(30.3, 20.2), 1e-9);
  EXPECT_EQ(off.outcome, Outcome::Fail);  // 36.416 > 36.056 + 0.2 + 0.0707
  EXPECT_NEAR(off.uncertainty_mm, std::sqrt(2.0) * 0.05, 1e-9);
  EXPECT_NEAR(*off.nominal_mm, 36.056, 1e-12);  // rounded to 1 µm
  holes_[0].standard_error_mm = 0.03;
  holes_[1].standard_error_mm = 0.04;
  EXPECT_NEAR(judged(check).uncertainty_mm, std::hypot(0.06, 0.08, std::sqrt(2.0) * 0.05), 1e-9);
}

// Half the diagonal of the box is ½ √(60² + 40² + 5²) = 36.14 mm.
TEST_F(JudgeDistance, EndsThatLieBesideEachOtherHangOnHowThePartIsTurned) {
  alignment_error_mm_ = 0.02;
  const Band band{1.0, 1.0};
  const DistanceResult opposite = judged({"t", Vector3d(30, 20, 0), Vector3d(30, 20, 5), {}, band});
  EXPECT_NEAR(opposite.uncertainty_mm, 0.1, 1e-9);
  EXPECT_EQ(opposite.measured_as.find("held"), std::string::npos);
  const DistanceResult beside = judged({"t", Vector3d(10, 20, 0), Vector3d(50, 20, 5), {}, band});
  EXPECT_NEAR(beside.uncertainty_mm, std::hypot(0.1, 0.04 * 40 / (0.5 * std::sqrt(5225.0))), 1e-9);
  EXPECT_NE(beside.measured_as.find("along the drawn normal +Z, as the part is held"),
            std::string::npos);
  const DistanceResult holes = judged({"p", "A", "B", {}, band});  // 5 mm apart along their axes
  EXPECT_NEAR(holes.uncertainty_mm,
              std::hypot(std::sqrt(2.0) * 0.05, 0.04 * 5 / (0.5 * std::sqrt(5225.0))), 1e-9);
}

TEST_F(JudgeDistance, TakesAHoleToAFaceAlongTheFacesNormal) {
  holes_[0].offset_mm = Vector3d(0.2, 0.7, 0);
  const DistanceResult out =
      judged({"edge", "A", Vector3d(60, 20, 2.5), {}, Band{0.1, 0.1}},
             [](const Vector3d&, const Vector3d& n) { return n.x() > 0.9 ? 0.3 : 0.0; });
  EXPECT_NEAR(*out.drawn_mm, 50.0, 1e-9);
  EXPECT_NEAR(*out.actual_mm, 50.0 - 0.2 + 0.3, 1e-6);
  EXPECT_EQ(out.measured_as,
            "from hole A to the face at (60.0, 20.0, 2.5), read at the place given on the face, "
            "along the drawn normal +X, as the part is held");
}

TEST_F(JudgeDistance, CountsFromTheNominalOfTheDrawingOrByAClass) {
  const auto far = [&](std::optional<double> nominal, const GeneralTolerance& tolerance) {
    return judged({"l", Vector3d(0, 20, 2.5), Vector3d(60, 20, 2.5), nominal, tolerance});
  };
  const GeneralTolerance fine{"X-f", 1.0, {{60.0, 0.15}, {100.0, 0.5}}};
  EXPECT_NEAR(*far({}, fine).most_mm, 60.15, 1e-9);
  EXPECT_EQ(far({}, fine).tolerance_class, "X-f");
  EXPECT_EQ(far({}, fine).outcome, Outcome::Pass);
  EXPECT_NEAR(*far(60.4, fine).least_mm, 59.9, 1e-9);
  EXPECT_EQ(far(59.7, fine).outcome, Outcome::Fail);  // 60.0 > 59.7 + 0.15 + 0.1
  const DistanceResult none = far({}, {"X-v", 1.0, {{30.0, 0.1}}});
  EXPECT_EQ(none.outcome, Outcome::Undecided);
  EXPECT_EQ(none.reasons.front(), "X-v gives no tolerance for 60.00 mm");
  EXPECT_TRUE(none.actual_mm.has_value());
  EXPECT_FALSE(none.conformity.has_value());
}

TEST_F(JudgeDistance, IsUndecidedWhereAnEndWasNotMeasured) {
  const Band band{1.0, 1.0};
  holes_[1].offset_mm.reset();
  holes_[1].reasons = {"its wall was not seen"};
  const DistanceResult hole = judged({"d", "A", "B", {}, band});
  EXPECT_EQ(hole.outcome, Outcome::Undecided);
  EXPECT_EQ(hole.reasons, std::vector<std::string>{"hole B: its wall was not seen"});
  EXPECT_TRUE(hole.drawn_mm.has_value());
  EXPECT_FALSE(hole.actual_mm.has_value());
  holes_[1].offset_mm = Vector3d::Zero();
  holes_[1].reasons.clear();
  holes_[1].rims = 1;  // measured, but what lies behind the rim is not known
  EXPECT_EQ(judged({"d", "A", "B", {}, band}).outcome, Outcome::Undecided);
  holes_[1].rims = 2;
  EXPECT_EQ(judged({"d", "A", "B", {}, band}).outcome, Outcome::Pass);
  const DistanceResult face =
      judged({"d", Vector3d(30, 20, 0), Vector3d(30, 20, 5), {}, band},
             [](const Vector3d&, const Vector3d& n) { return n.z() > 0.9 ? test::kUnseen : 0.0; });
  EXPECT_EQ(face.outcome, Outcome::Undecided);
  EXPECT_EQ(face.reasons.front(), "the face at (30.0, 20.0, 5.0): only 0 % of it was seen");
}

TEST_F(JudgeDistance, IsUndecidedWhereTheEndsHaveNoDistance) {
  const auto reason = [&](const DistanceEnd& from, const DistanceEnd& to) {
    const DistanceResult out = judged({"d", from, to, {}, Band{1.0, 1.0}});
    EXPECT_EQ(out.outcome, Outcome::Undecided);
    EXPECT_FALSE(out.actual_mm.has_value());
    return out.reasons.empty() ? std::string() : out.reasons.front();
  };
  const Vector3d top(30, 20, 5), side(60, 20, 2.5);
  EXPECT_EQ(reason("A", "C"), "the axes of the two holes are not parallel");
  EXPECT_EQ(reason("A", top), "the hole's axis is not parallel to the face");
  EXPECT_EQ(reason(top, side), "the two faces are not parallel in the design");
  EXPECT_EQ(reason(top, Vector3d(5, 5, 5)), "both ends lie at one height in the design");
  EXPECT_EQ(reason(top, Vector3d(5, 5, 9)),
            "the face at (5.0, 5.0, 9.0): the design's surface is 4.0 mm away from there");
  holes_[1].nominal_mm = {10, 10, 0};
  EXPECT_EQ(reason("A", "B"), "both holes have the same axis in the design");
  holes_[1].nominal_diameter_mm = 0.0;  // the design has no such hole
  holes_[1].offset_mm.reset();
  EXPECT_EQ(reason("A", "B"), "hole B: it was not measured");
}

}  // namespace
}  // namespace trammel
