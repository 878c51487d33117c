#include "../../src/read/read_holes.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::read {
namespace {

std::vector<HoleCheck> holes(const std::string& text) {
  return parse_plan("design = \"p.stl\"\n" + text, "p.toml").holes;
}
std::string hole_error(const std::string& text) {
  return test::input_error([&] { (void)holes(text); });
}

TEST(ReadHoles, TakesPinsAfterTheHoles) {
  const auto read = holes(
      "[[pin]]\nname = \"P\"\nat = [1, 2, 3]\nposition = 0.5\ndiameter = [7.9, 8.1]\n"
      "[[hole]]\nname = \"A\"\nat = [4, 5, 6]\nbolt = 8\n");
  ASSERT_EQ(read.size(), 2U);
  EXPECT_EQ(read[0].name, "A");
  EXPECT_EQ(read[0].kind, RoundKind::Hole);
  EXPECT_EQ(read[0].bolt_mm, 8.0);
  EXPECT_EQ(read[0].clearance_mm, 8.4);  // ISO 273, fine
  EXPECT_EQ(read[1].name, "P");
  EXPECT_EQ(read[1].kind, RoundKind::Pin);
  EXPECT_EQ(read[1].at_mm, Eigen::Vector3d(1, 2, 3));
  EXPECT_EQ(read[1].position_mm, 0.5);
  EXPECT_EQ(read[1].diameter_mm->high_mm, 8.1);
}

TEST(ReadHoles, NoTwoHaveOneName) {
  const std::string hole = "[[hole]]\nname = \"A\"\nat = [4, 5, 6]\n";
  for (const char* second : {"hole", "pin"}) {
    const std::string error =
        hole_error(hole + "[[" + second + "]]\nname = \"A\"\nat = [1, 2, 3]\n");
    EXPECT_NE(error.find("p.toml:6"), std::string::npos) << error;
    EXPECT_NE(error.find("'A', which a hole has already"), std::string::npos) << error;
  }
}

TEST(ReadHoles, APinTakesNoBolt) {
  const std::string error = hole_error("[[pin]]\nname = \"A\"\nat = [4, 5, 6]\nbolt = 8\n");
  EXPECT_NE(error.find("bolt"), std::string::npos) << error;
  EXPECT_NE(hole_error("[[pin]]\nname = \"A\"\n").find("at"), std::string::npos);
}

}  // namespace
}  // namespace trammel::read
