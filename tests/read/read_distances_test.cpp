#include "../../src/read/read_distances.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::read {
namespace {

const std::string kHoles =
    "design = \"p.stl\"\n"
    "[[hole]]\nname = \"A\"\nat = [1, 2, 3]\n"
    "[[hole]]\nname = \"B\"\nat = [30, 2, 3]\n"
    "[[distance]]\n";

std::vector<DistanceCheck> distances(const std::string& text) {
  return parse_plan(kHoles + text, "p.toml").distances;
}
std::string distance_error(const std::string& text) {
  return test::input_error([&] { (void)distances(text); });
}

TEST(ReadDistances, TakesHolesByNameAndFacesByAPlaceOfThem) {
  const auto read = distances(
      "name = \"pitch\"\nfrom = \"A\"\nto = \"B\"\nover = 0.2\nunder = 0.1\n"
      "[[distance]]\nname = \"edge\"\nfrom = \"B\"\nto = [0, 5, 1.5]\nnominal = 29.5\n"
      "class = \"ISO 2768-m\"\n");
  ASSERT_EQ(read.size(), 2U);
  EXPECT_EQ(read[0].name, "pitch");
  EXPECT_EQ(std::get<std::string>(read[0].from), "A");
  EXPECT_EQ(std::get<std::string>(read[0].to), "B");
  EXPECT_FALSE(read[0].nominal_mm.has_value());
  EXPECT_EQ(std::get<Band>(read[0].allowed).over_mm, 0.2);
  EXPECT_EQ(std::get<Band>(read[0].allowed).under_mm, 0.1);
  EXPECT_EQ(std::get<Eigen::Vector3d>(read[1].to), Eigen::Vector3d(0, 5, 1.5));
  EXPECT_EQ(read[1].nominal_mm, 29.5);
  EXPECT_EQ(std::get<GeneralTolerance>(read[1].allowed).name, "ISO 2768-m");
  EXPECT_EQ(std::get<GeneralTolerance>(read[1].allowed).allowed_at(29.5), 0.2);
}

TEST(ReadDistances, RefusesEndsThatThePlanDoesNotHave) {
  const std::string rest = "\nover = 1\nunder = 1\n";
  EXPECT_TRUE(test::has(distance_error("name = \"d\"\nfrom = \"A\"\nto = \"b\"" + rest),
                        "p.toml:11:6: expected the name of a [[hole]] for 'to', found 'b'"));
  EXPECT_TRUE(
      test::has(distance_error("name = \"d\"\nfrom = \"A\"" + rest), "expected 'distance 1.to'"));
  EXPECT_TRUE(
      test::has(distance_error("name = \"d\"\nfrom = \"A\"\nto = [1, 2]" + rest), "3 numbers"));
  EXPECT_TRUE(
      test::has(distance_error("name = \"d\"\nfrom = \"A\"\nto = \"A\"" + rest), "another end"));
  EXPECT_TRUE(
      test::has(distance_error("from = \"A\"\nto = \"B\"" + rest), "expected 'distance 1.name'"));
}

TEST(ReadDistances, NeedsOneToleranceThatSaysSomething) {
  const std::string ends = "name = \"d\"\nfrom = \"A\"\nto = \"B\"\n";
  EXPECT_TRUE(test::has(distance_error(ends), "expected 'distance 1.over'"));
  EXPECT_TRUE(test::has(distance_error(ends + "over = 0.1\n"), "expected 'distance 1.under'"));
  EXPECT_TRUE(test::has(distance_error(ends + "over = 0\nunder = 0\n"), "found both 0"));
  EXPECT_TRUE(test::has(distance_error(ends + "over = -1\nunder = 0\n"), "at least 0"));
  EXPECT_TRUE(test::has(distance_error(ends + "over = 1\nclass = \"ISO 2768-m\"\n"), "found both"));
  EXPECT_TRUE(
      test::has(distance_error(ends + "class = \"ISO 2768-x\"\n"), "Known are: ISO 2768-c"));
  EXPECT_TRUE(test::has(distance_error(ends + "class = \"ISO 2768-mK\"\n"), "did you mean"));
  EXPECT_TRUE(test::has(distance_error(ends + "class = \"ISO 2768-v\"\nnominal = 2.9\n"),
                        "p.toml:12:9: ISO 2768-v gives no tolerance for 2.9 mm"));
  EXPECT_TRUE(test::has(distance_error(ends + "tolerance = 1\n"), "unknown key"));
}

}  // namespace
}  // namespace trammel::read
