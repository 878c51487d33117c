#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

RawGeometry off_from(const std::string& text) {
  return parse_off(text, "a.off");
}
std::string off_error(const std::string& text) {
  return test::input_error([&] { (void)off_from(text); });
}

const std::string kBody =
    "0 0 0\n1 0 0 # a corner\n1 1 0\n\n0 1 0\n4 0 1 2 3  0.5 0.5 0.5\n3 0 1 3\n";

TEST(ParseOff, ReadsEveryWayToBegin) {
  for (const std::string head :
       {"OFF\n4 2 0\n", "OFF 4 2 0\n", "OFF4 2 0\n", "# a part\n\nOFF\n4 2\n", "4 2 0\n",
        "COFF\n4 2 0\n", "\xEF\xBB\xBFOFF\n4 2 0\n"}) {
    const RawGeometry geometry = off_from(head + kBody);
    EXPECT_EQ(geometry.points.cols(), 4) << head;
    EXPECT_EQ(geometry.triangles.cols(), 3) << head;
    EXPECT_EQ(geometry.triangles.col(1), Eigen::Vector3i(0, 2, 3)) << head;
  }
  EXPECT_EQ(off_from(test::with_cr_lf("OFF\n4 2 0\n" + kBody)).triangles.cols(), 3);
}

TEST(ParseOff, ReadsNormalsAndLeavesColours) {
  const RawGeometry geometry = off_from(
      "CNOFF\n3 1 0\n0 0 0 0 0 1 255 0 0\n1 0 0 0 0 1 255 0 0\n0 1 0 0 1 0 0 0 0\n3 0 1 2\n");
  ASSERT_EQ(geometry.normals.cols(), 3);
  EXPECT_EQ(geometry.normals.col(2), Eigen::Vector3d(0, 1, 0));
}

TEST(ParseOff, RefusesEveryFileThatIsCutOff) {
  const std::string text = "OFF\n4 2 0\n" + kBody;
  for (std::size_t length = 0; length + 1 < text.size(); ++length)
    ASSERT_FALSE(off_error(text.substr(0, length)).empty()) << length;
}

TEST(ParseOff, RefusesCountsThatLie) {
  EXPECT_TRUE(test::has(off_error("OFF\n353535235358 2 0\n" + kBody), "to fit the file"));
  EXPECT_TRUE(test::has(off_error("OFF\n4 1 0\n" + kBody), "after the last face"));
  EXPECT_FALSE(off_error("OFF\n5 2 0\n" + kBody).empty());
  EXPECT_FALSE(off_error("OFF\n-4 2 0\n" + kBody).empty());
  EXPECT_FALSE(off_error("OFF\n4 two 0\n" + kBody).empty());
}

TEST(ParseOff, RefusesCornersThatAreNoVertexAndOtherKinds) {
  EXPECT_TRUE(test::has(off_error("OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n"), "a.off:6"));
  EXPECT_FALSE(off_error("4OFF\n1 0 0\n0 0 0 1\n").empty());
  EXPECT_TRUE(test::has(off_error("OFF BINARY\n1 0 0\n"), "binary OFF"));
}

}  // namespace
}  // namespace trammel
