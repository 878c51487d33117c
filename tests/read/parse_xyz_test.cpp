#include <gtest/gtest.h>

#include <cmath>

#include "files_in_memory.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

RawGeometry xyz_from(const std::string& text) {
  return parse_xyz(text, "a.xyz");
}
std::string xyz_error(const std::string& text) {
  return test::input_error([&] { (void)xyz_from(text); });
}

TEST(ParseXyz, ReadsEveryDelimiterAndDecimalComma) {
  Eigen::Matrix3Xd expected(3, 2);
  expected.transpose() << 1.5, -2, 3, 4, 5.25, -6;
  for (const std::string text :
       {"1.5 -2 3\n4 5.25 -6\n", "1.5\t-2\t3\n4\t5.25\t-6\n", "1.5,-2,3\n4,5.25,-6\n",
        "1.5 , -2 , 3\n4 , 5.25 , -6\n", "1.5, -2, 3\n4, 5.25, -6\n", "1.5;-2;3\n4;5.25;-6\n",
        "1,5;-2;3\n4;5,25;-6;\n", "1,5 -2 3\n4 5,25 -6\n", "1,5\t-2,0\t3,0\n4,0\t5,25\t-6,0\n",
        "  1.50e0   -2.   +3  \n\n  4 5.25 -6"}) {
    for (const std::string& variant : {text, test::with_cr_lf(text), "\xEF\xBB\xBF" + text})
      EXPECT_EQ(xyz_from(variant).points, expected) << text;
  }
}

TEST(ParseXyz, SkipsCommentsNamesOfColumnsAndTakesACountFirst) {
  const std::string rows = "1 2 3\n4 5 6\n";
  for (const std::string head : {"# made by a test\n", "// scan\n\n", "x y z\n",
                                 "\"X\",\"Y\",\"Z\"\n", "2\n", "# scan\n2\n", "//X Y Z\nX Y Z\n"}) {
    EXPECT_EQ(xyz_from(head + rows).points.cols(), 2) << head;
  }
}

TEST(ParseXyz, RefusesACountThatTheLinesDoNotMatch) {
  EXPECT_TRUE(test::has(xyz_error("3\n1 2 3\n4 5 6\n"), "expected 3 points"));
}

TEST(ParseXyz, ReadsColumnsFourToSixAsNormalsOnlyWhenAllAreUnit) {
  const RawGeometry with = xyz_from("0 0 0 0 0 1\n1 0 0 0.6 0.8 0 255 0 0\n");
  ASSERT_EQ(with.normals.cols(), 2);
  EXPECT_EQ(with.normals.col(1), Eigen::Vector3d(0.6, 0.8, 0));
  EXPECT_EQ(xyz_from("0 0 0 0 0 1\n1 0 0 255 0 0\n").normals.cols(), 0);
  EXPECT_EQ(xyz_from("0 0 0 0 0 1\n1 0 0 0 0 1\n2 0 0 1 0 0 9\n").normals.cols(), 3);
}

TEST(ParseXyz, LeavesFurtherColumnsAloneAlsoWords) {
  EXPECT_EQ(xyz_from("1 2 3 wall\n4 5 6 floor\n").points.cols(), 2);
}

TEST(ParseXyz, RefusesALineThatIsCutOffOrHoldsWords) {
  EXPECT_TRUE(test::has(xyz_error("1 2 3\n4 5"), "a.xyz:2: expected three or more numbers"));
  EXPECT_TRUE(test::has(xyz_error("1 2 3 10 20\n4 5 6 1"), "expected 5 numbers"));
  EXPECT_TRUE(test::has(xyz_error("1 2 3\nthe end\n"), "'the end'"));
  EXPECT_TRUE(test::has(xyz_error("1 2\n1 2 3\n"), "a.xyz:1"));
  EXPECT_TRUE(test::has(xyz_error("only words\n"), "found none"));
}

TEST(ParseXyz, KeepsPointsThatAreNotFinite) {
  const RawGeometry geometry = xyz_from("1 2 3\nnan nan nan\n1.#QNAN 0 -1.#IND\n");
  ASSERT_EQ(geometry.points.cols(), 3);
  EXPECT_TRUE(std::isnan(geometry.points(0, 1)));
  EXPECT_TRUE(std::isnan(geometry.points(2, 2)));
}

TEST(ParseXyz, TakesFewLinesOfWordsBeforeThePointsAndTellsThem) {
  const auto found = xyz_from("name of the scan\nx y z\n1 2 3\n4 5 6\n");
  EXPECT_EQ(found.points.cols(), 2);
  ASSERT_FALSE(found.notes.empty());
  EXPECT_EQ(found.notes.back(), "2 lines of words before the first point");
  std::string many;
  for (int i = 0; i < 11; ++i)
    many += "p1.0 lost\n";
  EXPECT_TRUE(test::has(xyz_error(many + "1 2 3\n"), "a.xyz:11: expected three or more numbers"));
}

TEST(ParseXyz, TakesNoRowOfNumbersForWords) {
  EXPECT_TRUE(test::has(xyz_error("p 1 2 3\n1 2 3\n"), "a.xyz:1: expected three or more numbers"));
}

TEST(ParseXyz, SwallowsNothingBehindTheSixthColumn) {
  const std::string rows = "1 2 3 0 0 1 7\n", hole(3000, '\0');
  EXPECT_TRUE(
      test::has(xyz_error(rows + rows + "1 2 3 0 0 1 " + hole + "\n" + rows), "bytes of zero"));
  EXPECT_EQ(xyz_from("1 2 3 0 0 1 7\n2 2 3 0 0 1 7\r3 2 3 0 0 1 7\r4 2 3 0 0 1 7\n").points.cols(),
            4);
}

}  // namespace
}  // namespace trammel
