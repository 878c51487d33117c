#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

const std::string kPly =
    "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
    "property float z\nend_header\n1 2 3\n";

TEST(ParseGeometry, GoesByTheContentBeforeTheName) {
  EXPECT_EQ(parse_geometry(kPly, "scan.xyz").format, "PLY, ASCII");
  EXPECT_EQ(parse_geometry("OFF\n1 0 0\n1 2 3\n", "scan.txt").format, "OFF");
  EXPECT_EQ(parse_geometry("solid a\nendsolid a\n", "scan").format, "STL, ASCII");
  std::string binary(80, 'x');
  test::append(binary, std::uint32_t{1});
  binary.append(50, '\0');
  EXPECT_EQ(parse_geometry(binary, "scan.obj").format, "STL, binary");
}

TEST(ParseGeometry, GoesByTheEndingInEitherCaseWhereTheContentDoesNotTell) {
  EXPECT_EQ(parse_geometry("v 1 2 3\n", "part.OBJ").format, "OBJ");
  for (const char* name : {"a.xyz", "a.TXT", "a.csv", "a.asc", "a.pts"})
    EXPECT_EQ(parse_geometry("1 2 3\n", name).format, "text of points") << name;
}

TEST(ParseGeometry, NamesWhatItCannotRead) {
  const auto error_of = [](const std::string& bytes, const std::string& name) {
    return test::input_error([&] { (void)parse_geometry(bytes, name); });
  };
  EXPECT_TRUE(test::has(error_of("", "a.stl"), "found an empty file"));
  EXPECT_TRUE(test::has(error_of("PK\x03\x04rest", "a.3mf"), "3MF"));
  EXPECT_TRUE(test::has(error_of("ISO-10303-21;", "a.stp"), "a STEP file"));
  EXPECT_TRUE(test::has(error_of("\x1F\x8B\x08 rest", "a.ply"), "compressed with gzip"));
  EXPECT_TRUE(test::has(error_of(std::string("\xFF\xFEp\0l\0y\0", 8), "a.ply"), "found UTF-16"));
  EXPECT_TRUE(test::has(error_of("1 2 3\n", "a.dat"), "neither the content nor the name's ending"));
  EXPECT_TRUE(test::has(error_of("1 2 3\n", "a.dat"), "Give STL, PLY, OBJ, OFF"));
}

TEST(ParseGeometry, RefusesAPartTooFarFromItsOriginToHaveDigitsLeft) {
  const auto at = [](const std::string& x) {
    return x + " 0 0\n" + x + " 100 0\n" + x + " 0 50\n";
  };
  EXPECT_EQ(parse_geometry(at("1e8"), "a.xyz").points.cols(), 3);
  EXPECT_TRUE(test::has(test::input_error([&] { (void)parse_geometry(at("1e10"), "a.xyz"); }),
                        "expected a part near its origin"));
}

}  // namespace
}  // namespace trammel
