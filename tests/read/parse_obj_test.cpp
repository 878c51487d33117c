#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

RawGeometry obj_from(const std::string& text) {
  return parse_obj(text, "a.obj");
}
std::string obj_error(const std::string& text) {
  return test::input_error([&] { (void)obj_from(text); });
}

const std::string kSquare = "v 0 0 0\nv 1 0 0 1.0\nv 1 1 0 0.5 0.5 0.5\nv 0 1 0\n";

TEST(ParseObj, ReadsEveryWayToWriteACorner) {
  const std::string more = "vt 0 0\nvn 0 0 1\n";
  for (const std::string face :
       {"f 1 2 3 4", "f 1/1 2/1 3/1 4/1", "f 1//1 2//1 3//1 4//1", "f 1/1/1 2/1/1 3/1/1 4/1/1",
        "f -4 -3 -2 -1", "f 1// 2// 3// 4//"}) {
    const RawGeometry geometry = obj_from(kSquare + more + face + "\n");
    Eigen::Matrix3Xi triangles(3, 2);
    triangles.transpose() << 0, 1, 2, 0, 2, 3;
    EXPECT_EQ(geometry.triangles, triangles) << face;
    EXPECT_EQ(geometry.points.col(2), Eigen::Vector3d(1, 1, 0)) << face;
  }
}

TEST(ParseObj, TakesCrLfAByteOrderMarkCommentsContinuedLinesAndNoLastLineEnd) {
  const std::string text = "# a part\no part\n" + kSquare + "f 1 2 \\\n3 4 # a face";
  for (const std::string& variant : {text, test::with_cr_lf(text), "\xEF\xBB\xBF" + text})
    EXPECT_EQ(obj_from(variant).triangles.cols(), 2);
}

TEST(ParseObj, TakesNormalsThatAreOneAVertex) {
  const RawGeometry geometry =
      obj_from(kSquare + "vn 0 0 1\nvn 0 0 2\nf 1//1 2//1 3//2\nf 1//1 3//2 4//2\n");
  ASSERT_EQ(geometry.normals.cols(), 4);
  EXPECT_EQ(geometry.normals.col(3), Eigen::Vector3d(0, 0, 2));
}

TEST(ParseObj, IgnoresNormalsThatDifferFromFaceToFaceAndSaysSo) {
  const RawGeometry geometry =
      obj_from(kSquare + "vn 0 0 1\nvn 1 0 0\nf 1//1 2//1 3//1\nf 1//2 3//2 4//2\n");
  EXPECT_EQ(geometry.normals.cols(), 0);
  EXPECT_TRUE(test::any_has(geometry.notes, "normals were ignored"));
}

TEST(ParseObj, TakesNormalsOfACloudInOrder) {
  const RawGeometry geometry = obj_from("v 0 0 0\nvn 0 0 1\nv 1 0 0\nvn 0 1 0\n");
  EXPECT_EQ(geometry.normals.col(1), Eigen::Vector3d(0, 1, 0));
}

TEST(ParseObj, RefusesCornersThatAreNoVertexAndNamesTheLine) {
  EXPECT_TRUE(
      test::has(obj_error(kSquare + "f 1 2 5\n"), "a.obj:5: expected a vertex from 1 to 4"));
  EXPECT_TRUE(test::has(obj_error(kSquare + "f 0 1 2\n"), "a.obj:5"));
  EXPECT_TRUE(test::has(obj_error(kSquare + "f -5 1 2\n"), "found '-5'"));
  EXPECT_TRUE(test::has(obj_error(kSquare + "f 1 2 99999999999\n"), "'99999999999'"));
  EXPECT_TRUE(test::has(obj_error(kSquare + "f a b c\n"), "found 'a'"));
}

TEST(ParseObj, RefusesAVertexWithoutThreeNumbers) {
  EXPECT_TRUE(test::has(obj_error("v 0 0 0\nv 1 2"), "a.obj:2: expected three numbers"));
  EXPECT_TRUE(test::has(obj_error("v 0 0 3.1+e2\n"), "'3.1+e2'"));
}

TEST(ParseObj, LeavesOutFacesOfTwoCornersAndSaysSo) {
  const RawGeometry geometry = obj_from(kSquare + "f 1 2\nf 1 2 3\nl 1 2\np 1\n");
  EXPECT_EQ(geometry.triangles.cols(), 1);
  EXPECT_TRUE(test::any_has(geometry.notes, "1 face of fewer than three corners"));
}

TEST(ParseObj, RefusesUtf16) {
  EXPECT_TRUE(test::has(obj_error(std::string("\xFF\xFEv\0 \0", 6)), "found UTF-16"));
}

TEST(ParseObj, SwallowsNothingInAHoleOfZeros) {
  // A download that was cut leaves one; it began in a line of no use, and thousands were lost in
  // it.
  const std::string hole(5000, '\0');
  const std::string error = obj_error(kSquare + "vt 0 0" + hole + "\nf 1 2 3\n");
  EXPECT_TRUE(test::has(error, "a.obj:5: expected text in ASCII or UTF-8, found bytes of zero"));
  EXPECT_TRUE(test::has(obj_error(kSquare + "f 1 2 3\n" + hole), "bytes of zero"));
}

TEST(ParseObj, RefusesWhatItWouldReadHalf) {
  for (const char* line : {"curv 0 1 1 2", "surf 0 1 0 1 1 2 3", "V 1 2 3", "F 1 2 3", "fo 1 2 3"})
    EXPECT_TRUE(test::has(obj_error(kSquare + line + "\nf 1 2 3\n"), "a.obj:5: expected a keyword"))
        << line;
  EXPECT_EQ(
      obj_from("mtllib a.mtl\ng one\no two\ns 1\nusemtl steel\n" + kSquare + "l 1 2\nf 1 2 3\n")
          .triangles.cols(),
      1);
}

TEST(ParseObj, TakesLineEndsOfSeveralKinds) {
  // Half of it saved by another program: a comment would have swallowed all after it.
  EXPECT_EQ(
      obj_from("v 0 0 0\nv 1 0 0\r# two\rv 1 1 0\r\nv 0 1 0\nf 1 2 3\rf 1 3 4").triangles.cols(),
      2);
}

}  // namespace
}  // namespace trammel
