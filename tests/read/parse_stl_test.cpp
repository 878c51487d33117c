#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

const std::vector<float> kCorners = {0, 0, 0, 1, 0, 0,     0, 1.5F, 0,
                                     1, 0, 0, 1, 1, 0.25F, 0, 1.5F, 0};

std::string binary_stl(const std::string& header, std::uint32_t stated, std::uint32_t written) {
  std::string bytes = header;
  bytes.resize(80, ' ');
  test::append(bytes, stated);
  for (std::uint32_t t = 0; t < written; ++t) {
    for (int i = 0; i < 3; ++i)
      test::append(bytes, 0.0F);
    for (std::size_t i = 0; i < 9; ++i)
      test::append(bytes, kCorners[9 * t + i]);
    test::append(bytes, std::uint16_t{0});
  }
  return bytes;
}

const std::string kAscii =
    "solid part of mine\n"
    "  facet normal 0 0 1\n    outer loop\n"
    "      vertex 0 0 0\n      vertex 1 0 0\n      vertex 0 1.5 0\n"
    "    endloop\n  endfacet\n"
    "  facet normal 0 0 1\n    outer loop\n"
    "      vertex 1 0 0\n      vertex 1.0e0 +1 2.5E-1\n      vertex 0 1.5 0\n"
    "    endloop\n  endfacet\n"
    "endsolid part of mine\n";

void expect_two_triangles(const RawGeometry& geometry) {
  ASSERT_EQ(geometry.points.cols(), 6);
  ASSERT_EQ(geometry.triangles.cols(), 2);
  for (Eigen::Index i = 0; i < 18; ++i) {
    EXPECT_EQ(geometry.points.data()[i],
              static_cast<double>(kCorners[static_cast<std::size_t>(i)]));
  }
  EXPECT_EQ(geometry.triangles(2, 1), 5);
}

TEST(ParseStl, ReadsBinary) {
  const RawGeometry geometry = parse_stl(binary_stl("made by a test", 2, 2), "a.stl");
  EXPECT_EQ(geometry.format, "STL, binary");
  expect_two_triangles(geometry);
}

TEST(ParseStl, TakesABinaryFileThatBeginsWithSolidForBinary) {
  EXPECT_EQ(parse_stl(binary_stl("solid facet", 2, 2), "a.stl").format, "STL, binary");
}

TEST(ParseStl, ReadsAsciiWithAnyLineEndAByteOrderMarkAndCapitals) {
  std::string capitals = kAscii;
  for (const char* word : {"facet", "vertex", "outer", "solid"}) {
    for (std::size_t at = capitals.find(word); at != capitals.npos;
         at = capitals.find(word, at + 1))
      capitals[at] = static_cast<char>(capitals[at] - 32);
  }
  for (const std::string& text :
       {kAscii, test::with_cr_lf(kAscii), "\xEF\xBB\xBF" + kAscii, "\n  " + kAscii, capitals}) {
    const RawGeometry geometry = parse_stl(text, "a.stl");
    EXPECT_EQ(geometry.format, "STL, ASCII");
    expect_two_triangles(geometry);
  }
}

TEST(ParseStl, JoinsSolidsAndSaysSo) {
  const RawGeometry geometry = parse_stl(kAscii + kAscii, "a.stl");
  EXPECT_EQ(geometry.triangles.cols(), 4);
  EXPECT_TRUE(test::any_has(geometry.notes, "2 solids"));
}

TEST(ParseStl, RefusesABinaryFileWhoseCountAndSizeDisagree) {
  const auto message = [](std::uint32_t stated, std::uint32_t written) {
    return test::input_error([&] { (void)parse_stl(binary_stl("x", stated, written), "a.stl"); });
  };
  EXPECT_TRUE(test::has(message(2, 1), "expected 184 bytes for the 2 triangles"));
  EXPECT_TRUE(test::has(message(1, 2), "found 184 bytes"));
  EXPECT_TRUE(test::has(message(4000000000U, 2), "cut off"));
  EXPECT_TRUE(test::has(test::input_error([] { (void)parse_stl("short", "a.stl"); }),
                        "84 bytes of header"));
}

TEST(ParseStl, RefusesEveryAsciiFileThatIsCutOff) {
  // Wherever it is cut up to the last keyword, the rest must not pass for a whole part.
  for (std::size_t length = 6; length < kAscii.find("endsolid"); ++length) {
    const std::string message =
        test::input_error([&] { (void)parse_stl(kAscii.substr(0, length), "a.stl"); });
    ASSERT_FALSE(message.empty()) << length;
  }
}

TEST(ParseStl, NamesTheLineOfAFault) {
  std::string text = kAscii;
  text.replace(text.find("1.5"), 3, "1,5");
  const std::string message = test::input_error([&] { (void)parse_stl(text, "a.stl"); });
  EXPECT_TRUE(test::has(message, "a.stl:6: expected a number, found '1,5'"));
}

TEST(ParseStl, KeepsCoordinatesThatAreNotFinite) {
  std::string text = kAscii;
  text.replace(text.find("1.5"), 3, "nan");
  EXPECT_TRUE(std::isnan(parse_stl(text, "a.stl").points(1, 2)));
}

TEST(ParseStl, TakesASecondSolidWhateverItsLineEnds) {
  // "endsolid" looked for LF alone, and a second solid written with CR was lost in its name.
  std::string second = kAscii;
  for (char& c : second)
    c = c == '\n' ? '\r' : c;
  EXPECT_EQ(parse_stl(kAscii + second, "a.stl").triangles.cols(), 4);
  EXPECT_EQ(parse_stl(second, "a.stl").triangles.cols(), 2);
}

TEST(ParseStl, SwallowsNothingInAHoleOfZeros) {
  std::string text;
  for (int i = 0; i < 10; ++i)
    text += kAscii;
  text += "solid " + std::string(4000, '\0') + "\nendsolid\n";
  const std::string error = test::input_error([&] { (void)parse_stl(text, "a.stl"); });
  EXPECT_TRUE(test::has(error, "bytes of zero")) << error;
}

}  // namespace
}  // namespace trammel
