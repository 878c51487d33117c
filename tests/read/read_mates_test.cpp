#include "../../src/read/read_mates.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::read {
namespace {

using Eigen::Vector3d;

const std::string kBoltedHoles =
    "design = \"p.stl\"\n"
    "[[hole]]\nname = \"A\"\nat = [1, 2, 3]\nbolt = 8\n"
    "[[hole]]\nname = \"B\"\nat = [30, 2, 3]\nbolt = 8\n"
    "[[hole]]\nname = \"C\"\nat = [30, 20, 3]\n"
    "[[mate]]\n";
const std::string kTwoPlaces = "at = [[0, 0, 0], [29, 0, 0]]\n";
const std::string kScanAndFace = "scan = \"frame.ply\"\nface = [5, 5, 0]\n";

std::vector<MateCheck> mates(const std::string& text, const std::string& holes = kBoltedHoles) {
  return parse_plan(holes + text, "plans/p.toml").mates;
}
std::string mate_error(const std::string& text, const std::string& holes = kBoltedHoles) {
  return test::input_error([&] { (void)mates(text, holes); });
}

TEST(ReadMates, TakesTheScanFromThePlansFolderAndAPlaceABoltedHole) {
  const auto read = mates(kScanAndFace + kTwoPlaces + "units = \"in\"\nuncertainty = 0.08\n");
  ASSERT_EQ(read.size(), 1U);
  EXPECT_EQ(read[0].scan, "frame.ply");
  EXPECT_EQ(read[0].scan_path, std::filesystem::path("plans") / "frame.ply");
  EXPECT_EQ(read[0].units, Unit::Inch);
  EXPECT_EQ(read[0].face_mm, Vector3d(5, 5, 0));
  ASSERT_EQ(read[0].at.size(), 2U);
  EXPECT_EQ(read[0].at[1], Vector3d(29, 0, 0));
  EXPECT_EQ(read[0].uncertainty_mm, 0.08);
  EXPECT_EQ(read[0].group, "");
  EXPECT_EQ(mates(kScanAndFace + kTwoPlaces)[0].units, Unit::Mm);
  EXPECT_FALSE(mates(kScanAndFace + kTwoPlaces)[0].uncertainty_mm.has_value());
}

TEST(ReadMates, SaysWhereAKeyIsMissingOrWrong) {
  EXPECT_TRUE(test::has(mate_error(kTwoPlaces + "face = [1, 2, 3]\n"), "expected 'mate 1.scan'"));
  EXPECT_TRUE(test::has(mate_error("scan = \"f.ply\"\n" + kTwoPlaces), "expected 'mate 1.face'"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace), "expected 'mate 1.at'"));
  EXPECT_TRUE(test::has(mate_error("scan = \"\"\nface = [5, 5, 0]\n" + kTwoPlaces),
                        "p.toml:14:8: expected a file for 'scan', found ''"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces + "units = \"ft\"\n"),
                        "expected one of 'mm'"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces + "units = \"auto\"\n"),
                        "expected one of 'mm'"));
  EXPECT_TRUE(
      test::has(mate_error(kScanAndFace + kTwoPlaces + "uncertainty = -1\n"), "at least 0"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces + "pose = 1\n"), "unknown key"));
}

TEST(ReadMates, WantsAsManyPlacesAsTheGroupHasBoltedHoles) {
  const std::string few = mate_error(kScanAndFace + "at = [[0, 0, 0]]\n");
  EXPECT_TRUE(test::has(few, "p.toml:16:6: expected 2 places for 'at'")) << few;
  EXPECT_TRUE(test::has(few, "found 1")) << few;
  EXPECT_TRUE(
      test::has(mate_error(kScanAndFace + "at = [[0, 0, 0], [1, 1, 1], [2, 2, 2]]\n"), "found 3"));
  EXPECT_TRUE(
      test::has(mate_error(kScanAndFace + "at = [0, 0, 0]\n"), "expected [[x, y, z], ...]"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + "at = []\n"), "expected [[x, y, z], ...]"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + "at = [[0, 0], [1, 1, 1]]\n"), "3 numbers"));
  const std::string one =
      "design = \"p.stl\"\n[[hole]]\nname = \"A\"\nat = [1, 2, 3]\nbolt = 8\n[[mate]]\n";
  EXPECT_TRUE(
      test::has(mate_error(kScanAndFace + "at = [[0, 0, 0]]\n", one), "two bolted holes or more"));
}

TEST(ReadMates, BelongToOneGroupEach) {
  const std::string groups =
      "design = \"p.stl\"\n"
      "[[hole]]\nname = \"A\"\nat = [1, 2, 3]\nbolt = 8\ngroup = \"roof\"\n"
      "[[hole]]\nname = \"B\"\nat = [30, 2, 3]\nbolt = 8\ngroup = \"roof\"\n"
      "[[hole]]\nname = \"C\"\nat = [1, 40, 3]\nbolt = 6\ngroup = \"wall\"\n"
      "[[hole]]\nname = \"D\"\nat = [30, 40, 3]\nbolt = 6\ngroup = \"wall\"\n[[mate]]\n";
  const std::string of_wall = kScanAndFace + kTwoPlaces + "group = \"wall\"\n";
  EXPECT_EQ(mates(of_wall, groups)[0].group, "wall");
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces, groups), "in more than one"));
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces + "group = \"wal\"\n", groups),
                        "did you mean"));
  EXPECT_TRUE(test::has(mate_error(of_wall + "[[mate]]\n" + of_wall, groups), "one mate"));
  const std::string no_bolts =
      "design = \"p.stl\"\n[[hole]]\nname = \"A\"\nat = [1, 2, 3]\n[[mate]]\n";
  EXPECT_TRUE(test::has(mate_error(kScanAndFace + kTwoPlaces, no_bolts),
                        "expected a [[hole]] with 'bolt'"));
}

TEST(ReadMates, WithoutANameStandForTheOnlyGroup) {
  const std::string named =
      "design = \"p.stl\"\n"
      "[[hole]]\nname = \"A\"\nat = [1, 2, 3]\nbolt = 8\ngroup = \"roof\"\n"
      "[[hole]]\nname = \"B\"\nat = [30, 2, 3]\nbolt = 8\ngroup = \"roof\"\n[[mate]]\n";
  EXPECT_EQ(mates(kScanAndFace + kTwoPlaces, named)[0].group, "roof");
}

}  // namespace
}  // namespace trammel::read
