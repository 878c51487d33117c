#include <gtest/gtest.h>

#include <cmath>

#include "files_in_memory.hpp"
#include "trammel/base/random.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

RawGeometry ply_from(const std::string& bytes) {
  return parse_ply(bytes, "a.ply");
}
std::string ply_error(const std::string& bytes) {
  return test::input_error([&] { (void)ply_from(bytes); });
}

/// A quad and a triangle over five vertices with normals, colours and an element of no use, in the
/// encoding asked for; properties are out of order and of several types.
std::string sample(const std::string& format) {
  std::string bytes = "ply\nformat " + format +
                      " 1.0\ncomment made by a test\nobj_info none\n"
                      "element camera 1\nproperty list uchar float view\nproperty short id\n"
                      "element vertex 5\nproperty uchar red\nproperty double z\nproperty float x\n"
                      "property float nx\nproperty float ny\nproperty float nz\nproperty short y\n"
                      "element face 2\nproperty uchar flag\n"
                      "property list uchar uint vertex_indices\nproperty list ushort float uv\n"
                      "end_header\n";
  if (format == "ascii") {
    return bytes +
           "2 0.5 1.5 7\n"
           "255 0.125 1.5 0 0 1 -3\n255 0.25 2.5 0 0 1 -4\n255 0.5 3.5 0 1 0 5\n"
           "255 1 4.5 1 0 0 6\n255 2 5.5 0 0 -1 7\n"
           "1 4 0 1 2 3 2 0.5 0.5\n0 3 2 3 4 0\n";
  }
  const bool big = format == "binary_big_endian";
  const auto put = [&](auto value) { test::append(bytes, value, big); };
  put(std::uint8_t{2}), put(0.5F), put(1.5F), put(std::int16_t{7});
  const double z[] = {0.125, 0.25, 0.5, 1, 2};
  const float normals[][3] = {{0, 0, 1}, {0, 0, 1}, {0, 1, 0}, {1, 0, 0}, {0, 0, -1}};
  const std::int16_t y[] = {-3, -4, 5, 6, 7};
  for (int v = 0; v < 5; ++v) {
    put(std::uint8_t{255}), put(z[v]), put(1.5F + static_cast<float>(v));
    for (const float n : normals[v])
      put(n);
    put(y[v]);
  }
  put(std::uint8_t{1}), put(std::uint8_t{4});
  for (const std::uint32_t corner : {0U, 1U, 2U, 3U})
    put(corner);
  put(std::uint16_t{2}), put(0.5F), put(0.5F);
  put(std::uint8_t{0}), put(std::uint8_t{3});
  for (const std::uint32_t corner : {2U, 3U, 4U})
    put(corner);
  put(std::uint16_t{0});
  return bytes;
}

TEST(ParsePly, ReadsTheSameFromTextAndBothByteOrders) {
  for (const std::string format : {"ascii", "binary_little_endian", "binary_big_endian"}) {
    const RawGeometry geometry = ply_from(sample(format));
    Eigen::Matrix3Xd points(3, 5);
    points << 1.5, 2.5, 3.5, 4.5, 5.5, -3, -4, 5, 6, 7, 0.125, 0.25, 0.5, 1, 2;
    Eigen::Matrix3Xi triangles(3, 3);
    triangles.transpose() << 0, 1, 2, 0, 2, 3, 2, 3, 4;
    EXPECT_EQ(geometry.points, points) << format;
    EXPECT_EQ(geometry.triangles, triangles) << format;
    ASSERT_EQ(geometry.normals.cols(), 5) << format;
    EXPECT_EQ(geometry.normals.col(4), Eigen::Vector3d(0, 0, -1)) << format;
    EXPECT_TRUE(test::any_has(geometry.notes, "1 face of more than three corners")) << format;
    EXPECT_TRUE(test::any_has(geometry.notes, "'camera'")) << format;
  }
  EXPECT_EQ(ply_from(sample("ascii")).format, "PLY, ASCII");
  EXPECT_EQ(ply_from(sample("binary_little_endian")).format, "PLY, binary little-endian");
  EXPECT_EQ(ply_from(sample("binary_big_endian")).format, "PLY, binary big-endian");
}

TEST(ParsePly, RefusesEveryFileThatIsCutOff) {
  for (const std::string format : {"ascii", "binary_little_endian", "binary_big_endian"}) {
    const std::string bytes = sample(format);
    // The last value of the text may lose its line end, and only that.
    const std::size_t whole = format == "ascii" ? bytes.size() - 1 : bytes.size();
    for (std::size_t length = 0; length < whole; ++length)
      ASSERT_FALSE(ply_error(bytes.substr(0, length)).empty()) << format << " " << length;
  }
}

TEST(ParsePly, RefusesMoreThanTheHeaderStates) {
  EXPECT_TRUE(test::has(ply_error(sample("ascii") + "1 2 3\n"), "after the last row"));
  EXPECT_TRUE(test::has(ply_error(sample("binary_little_endian") + "12345"), "5 bytes more"));
}

std::string cloud_header(const std::string& count) {
  return "ply\nformat binary_little_endian 1.0\nelement vertex " + count +
         "\nproperty float x\nproperty float y\nproperty float z\nend_header\n";
}

TEST(ParsePly, NeverTrustsACountBeforeTheBytesAreThere) {
  for (const char* count : {"2", "4000000000", "99999999999999999999", "1e300", "-1", "nan", "x"}) {
    EXPECT_FALSE(ply_error(cloud_header(count) + std::string(12, '\0')).empty()) << count;
  }
  EXPECT_EQ(ply_from(cloud_header("1") + std::string(12, '\0')).points.cols(), 1);
}

TEST(ParsePly, RefusesAListWhoseLengthRunsPastTheEnd) {
  std::string bytes =
      "ply\nformat binary_little_endian 1.0\nelement vertex 1\nproperty float x\n"
      "property float y\nproperty float z\nelement face 1\n"
      "property list int int vertex_indices\nend_header\n" +
      std::string(12, '\0');
  std::string negative = bytes;
  test::append(bytes, std::int32_t{2000000000});
  test::append(negative, std::int32_t{-3});
  EXPECT_TRUE(test::has(ply_error(bytes), "end of the file"));
  EXPECT_TRUE(test::has(ply_error(negative), "found -3"));
}

TEST(ParsePly, RefusesCornersThatAreNoVertex) {
  const std::string head =
      "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
      "property float z\nelement face 1\nproperty list uchar int vertex_index\nend_header\n"
      "0 0 0\n1 0 0\n0 1 0\n";
  EXPECT_EQ(ply_from(head + "3 0 1 2\n").triangles.cols(), 1);
  EXPECT_TRUE(test::has(ply_error(head + "3 0 1 3\n"), "found vertex 3"));
  EXPECT_TRUE(test::has(ply_error(head + "3 0 1 -1\n"), "a.ply:13"));
}

TEST(ParsePly, TakesCrLfHeadersAndABinaryBodyThatBeginsWithALineFeed) {
  std::string body;
  test::append(body, std::uint32_t{0x3F80000A});  // the first byte is LF
  test::append(body, 2.0F);
  test::append(body, 3.0F);
  for (const std::string& header : {cloud_header("1"), test::with_cr_lf(cloud_header("1")),
                                    "\xEF\xBB\xBF" + cloud_header("1")}) {
    const RawGeometry geometry = ply_from(header + body);
    ASSERT_EQ(geometry.points.cols(), 1);
    EXPECT_EQ(geometry.points(1, 0), 2.0);
    EXPECT_NEAR(geometry.points(0, 0), 1.0, 1e-5);
  }
}

TEST(ParsePly, ReadsATextOfCrLfLines) {
  EXPECT_EQ(ply_from(test::with_cr_lf(sample("ascii"))).points, ply_from(sample("ascii")).points);
}

TEST(ParsePly, ReadsManyRowsInChunksAsOneByOne) {
  constexpr std::uint32_t kCount = 20000;  // several chunks of the parallel path
  std::string bytes = cloud_header(std::to_string(kCount));
  Rng rng(5);
  std::vector<float> values;
  for (std::uint32_t i = 0; i < 3 * kCount; ++i) {
    values.push_back(static_cast<float>(rng.uniform(-1e3, 1e3)));
    test::append(bytes, values.back());
  }
  const RawGeometry geometry = ply_from(bytes);
  ASSERT_EQ(geometry.points.cols(), kCount);
  for (std::size_t i = 0; i < values.size(); ++i)
    ASSERT_EQ(geometry.points.data()[i], static_cast<double>(values[i]));
}

TEST(ParsePly, NeedsXYAndZ) {
  EXPECT_TRUE(test::has(
      ply_error("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
                "end_header\n0 0\n"),
      "no such z"));
}

TEST(ParsePly, KeepsPointsThatAreNotFinite) {
  const RawGeometry geometry = ply_from(
      "ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\n"
      "property float z\nend_header\nnan 0 0\n1 inf 0\n");
  EXPECT_TRUE(std::isnan(geometry.points(0, 0)));
  EXPECT_TRUE(std::isinf(geometry.points(1, 1)));
}

TEST(ParsePly, HoldsRowsOfTextToTheirLines) {
  // One value missing in a row and one too many in a later one shifted all points in between.
  const std::string head =
      "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
      "property float z\nend_header\n";
  EXPECT_EQ(ply_from(head + "1 2 3\n4 5 6 \r\n7 8 9").points.cols(), 3);
  EXPECT_TRUE(
      test::has(ply_error(head + "1 2 3\n4 5\n6 7 8 9\n"), "a.ply:10: expected a row on one line"));
  EXPECT_TRUE(test::has(ply_error(head + "1 2 3 4\n5 6\n7 8 9\n"),
                        "expected the end of the row, found '4'"));
  EXPECT_TRUE(test::has(ply_error(head + "1 2 3\n" + std::string(50, '\0') + "4 5 6\n7 8 9\n"),
                        "bytes of zero"));
}

TEST(ParsePly, RefusesAHeaderThatSaysAThingTwice) {
  const std::string end = "\nproperty float y\nproperty float z\nend_header\n1 2 3\n";
  const std::string vertex = "element vertex 1\nproperty float x";
  EXPECT_TRUE(test::has(ply_error("ply\nformat ascii 1.0\nformat ascii 1.0\n" + vertex + end),
                        "expected one 'format' line"));
  EXPECT_TRUE(
      test::has(ply_error("ply\nformat ascii 2.0\n" + vertex + end), "expected version 1.0"));
  EXPECT_TRUE(test::has(ply_error("ply\nformat ascii 1.0\n" + vertex + "\nproperty float x" + end),
                        "found 'x' again"));
  std::string many = "ply\nformat ascii 1.0\n";
  for (int i = 0; i < 101; ++i)
    many += "element e" + std::to_string(i) + " 0\n";
  EXPECT_TRUE(test::has(ply_error(many + vertex + end), "expected at most 100 elements"));
}

}  // namespace
}  // namespace trammel
