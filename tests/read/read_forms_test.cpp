#include "../../src/read/read_forms.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::read {
namespace {

using Eigen::Vector3d;

std::vector<FormCheck> forms(const std::string& text) {
  return parse_plan("design = \"p.stl\"\n" + text, "p.toml").forms;
}
std::string form_error(const std::string& text) {
  return test::input_error([&] { (void)forms(text); });
}

TEST(ReadForms, TakesEachKindWithFiguresOrAClass) {
  const auto read = forms(
      "[[angle]]\nname = \"bend\"\nfrom = [1, 2, 3]\nto = [4, 5, 6]\nnominal = 90\nover = 0.5\n"
      "under = 1\n"
      "[[flatness]]\nname = \"seat\"\nat = [7, 8, 9]\ntolerance = 0.2\n"
      "[[flatness]]\nname = \"top\"\nat = [7, 8, 9]\nclass = \"ISO 2768-K\"\n"
      "[[parallelism]]\nname = \"faces\"\nat = [7, 8, 9]\ndatum = [1, 1, 1]\n"
      "class = \"ISO 13920-F\"\n"
      "[[angle]]\nname = \"fold\"\nfrom = [1, 2, 3]\nto = [4, 5, 6]\nclass = \"ISO 2768-m\"\n");
  ASSERT_EQ(read.size(), 5U);
  EXPECT_EQ(read[0].kind, FormKind::Flatness);
  EXPECT_EQ(read[0].name, "seat");
  EXPECT_EQ(read[0].at_mm, Vector3d(7, 8, 9));
  EXPECT_FALSE(read[0].other_mm.has_value());
  EXPECT_EQ(std::get<double>(read[0].allowed), 0.2);
  EXPECT_EQ(std::get<GeneralTolerance>(read[1].allowed).allowed_at(99.0), 0.2);
  EXPECT_EQ(read[2].kind, FormKind::Parallelism);
  EXPECT_EQ(*read[2].other_mm, Vector3d(1, 1, 1));
  EXPECT_EQ(std::get<GeneralTolerance>(read[2].allowed).allowed_at(200.0), 1.5);
  EXPECT_EQ(read[3].kind, FormKind::Angle);
  EXPECT_NEAR(*read[3].nominal, 0.5 * kPi, 1e-15);
  EXPECT_NEAR(std::get<AngleBand>(read[3].allowed).over_rad, 0.5 * kDegree, 1e-15);
  EXPECT_NEAR(std::get<AngleBand>(read[3].allowed).under_rad, kDegree, 1e-15);
  EXPECT_FALSE(read[4].nominal.has_value());
  // ISO 2768-m, shorter leg of 50 mm: 30 minutes.
  EXPECT_NEAR(*std::get<GeneralTolerance>(read[4].allowed).allowed_at(50.0), 0.5 * kDegree, 1e-15);
}

TEST(ReadForms, TakesWallsAndSquareFaces) {
  const auto read = forms(
      "[[thickness]]\nname = \"web\"\nat = [1, 2, 3]\nnominal = 2.5\nover = 0.1\nunder = 0.2\n"
      "[[thickness]]\nname = \"floor\"\nat = [1, 2, 3]\nclass = \"ISO 2768-c\"\n"
      "[[perpendicularity]]\nname = \"wall\"\nat = [1, 2, 3]\ndatum = [4, 5, 6]\n"
      "class = \"ISO 2768-L\"\n");
  ASSERT_EQ(read.size(), 3U);
  EXPECT_EQ(read[0].kind, FormKind::Perpendicularity);
  EXPECT_EQ(std::get<GeneralTolerance>(read[0].allowed).allowed_at(100.0), 0.6);
  EXPECT_EQ(read[1].kind, FormKind::Thickness);
  EXPECT_EQ(read[1].nominal, 2.5);
  EXPECT_EQ(std::get<Band>(read[1].allowed).under_mm, 0.2);
  EXPECT_EQ(std::get<GeneralTolerance>(read[2].allowed).allowed_at(3.0), 0.2);
}

TEST(ReadForms, SaysWhereAToleranceIsMissingOrGivenTwice) {
  const std::string flat = "[[flatness]]\nname = \"a\"\nat = [7, 8, 9]\n";
  EXPECT_TRUE(test::has(form_error(flat), "expected 'flatness 1.tolerance'"));
  EXPECT_TRUE(test::has(form_error(flat + "tolerance = 0\n"), "more than 0"));
  EXPECT_TRUE(test::has(form_error(flat + "tolerance = 1\nclass = \"ISO 2768-K\"\n"),
                        "p.toml:5:13: expected 'class' or 'tolerance', found both"));
  const std::string angle = "[[angle]]\nname = \"a\"\nfrom = [7, 8, 9]\nto = [1, 1, 1]\n";
  EXPECT_TRUE(test::has(form_error(angle + "over = 1\n"), "expected 'angle 1.under'"));
  EXPECT_TRUE(test::has(form_error(angle + "over = 0\nunder = 0\n"), "found both 0"));
  EXPECT_TRUE(test::has(form_error(angle + "over = 91\nunder = 0\n"), "at most 90"));
  EXPECT_TRUE(test::has(form_error(angle + "nominal = 180\nover = 1\nunder = 1\n"), "at most 179"));
}

TEST(ReadForms, RefusesWhatNamesNoFaceOrNoClassOfItsKind) {
  EXPECT_TRUE(test::has(form_error("[[flatness]]\nname = \"a\"\ntolerance = 1\n"),
                        "expected 'flatness 1.at'"));
  EXPECT_TRUE(test::has(form_error("[[flatness]]\nat = [1, 2, 3]\ntolerance = 1\n"),
                        "expected 'flatness 1.name'"));
  EXPECT_TRUE(test::has(form_error("[[flatness]]\nname = \"a\"\nat = [1, 2]\ntolerance = 1\n"),
                        "3 numbers"));
  EXPECT_TRUE(
      test::has(form_error("[[parallelism]]\nname = \"a\"\nat = [1, 2, 3]\ntolerance = 1\n"),
                "expected 'parallelism 1.datum'"));
  EXPECT_TRUE(test::has(form_error("[[parallelism]]\nname = \"a\"\nat = [1, 2, 3]\n"
                                   "datum = [1, 2, 3]\ntolerance = 1\n"),
                        "p.toml:5:9: expected another face for 'datum'"));
  EXPECT_TRUE(
      test::has(form_error("[[flatness]]\nname = \"a\"\nat = [1, 2, 3]\nclass = \"ISO 2768-m\"\n"),
                "p.toml:5:9: expected a class of flatness for 'class', found 'ISO 2768-m'"));
  EXPECT_TRUE(test::has(form_error("[[parallelism]]\nname = \"a\"\nat = [1, 2, 3]\n"
                                   "datum = [1, 2, 4]\nclass = \"ISO 2768-K\"\n"),
                        "Known are: ISO 13920-E, ISO 13920-F"));
  EXPECT_TRUE(
      test::has(form_error("[[flatness]]\nname = \"a\"\nat = [1, 2, 3]\ntolerance = 1\nzone = 2\n"),
                "unknown key"));
}

}  // namespace
}  // namespace trammel::read
