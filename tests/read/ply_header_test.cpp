#include "../../src/read/ply_header.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"

namespace trammel::read {
namespace {

std::string error_of(const std::string& text) {
  return test::input_error([&] { (void)parse_ply_header(text, "a.ply"); });
}

TEST(PlyHeader, TellsElementsTypesAndWhereTheRowsBegin) {
  const std::string text =
      "ply\nformat binary_big_endian 1.0\nelement vertex 7\nproperty float32 x\n"
      "property uint8 red\nelement face 0\nproperty list uchar int vertex_index\nend_header\n";
  const PlyHeader header = parse_ply_header(text + "rows", "a.ply");
  EXPECT_EQ(header.encoding, PlyEncoding::BigEndian);
  EXPECT_EQ(header.bytes, text.size());
  EXPECT_EQ(header.lines, 8U);
  ASSERT_EQ(header.elements.size(), 2U);
  EXPECT_EQ(header.elements[0].count, 7U);
  EXPECT_EQ(header.elements[0].least_row_bytes(), 5U);
  EXPECT_EQ(header.elements[0].find("red"), 1);
  EXPECT_EQ(header.elements[0].find("green"), -1);
  EXPECT_TRUE(header.elements[1].has_lists());
}

TEST(PlyHeader, NamesTheLineThatIsWrong) {
  EXPECT_TRUE(test::has(error_of("plx\n"), "a.ply:1: expected 'ply'"));
  EXPECT_TRUE(test::has(error_of("ply\nformat middle_endian 1.0\n"), "a.ply:2: expected format"));
  EXPECT_TRUE(test::has(error_of("ply\nproperty float x\n"), "expected 'element'"));
  EXPECT_TRUE(test::has(error_of("ply\nelement vertex 1\nproperty flaot x\n"), "'flaot'"));
  EXPECT_TRUE(test::has(error_of("ply\nformat ascii 1.0\n"), "expected 'end_header'"));
  EXPECT_TRUE(test::has(error_of("ply\nend_header\n"), "expected a 'format' line"));
}

}  // namespace
}  // namespace trammel::read
