#include "trammel/read/read_plan.hpp"

#include <gtest/gtest.h>

#include "files_in_memory.hpp"

namespace trammel {
namespace {

Plan parse(const std::string& text) {
  return parse_plan(text, "plans/part.toml");
}
std::string error_of(const std::string& text) {
  return test::input_error([&] { (void)parse(text); });
}
std::string error_with_design(const std::string& text) {
  return error_of("design = \"part.stl\"\n" + text);
}

TEST(ReadPlan, NeedsOnlyADesignAndHasTheDefaultsOfTheDocumentation) {
  const Plan plan = parse("design = \"part.stl\"\n");
  EXPECT_EQ(plan.design, "part.stl");
  EXPECT_EQ(plan.design_path, std::filesystem::path("plans") / "part.stl");
  EXPECT_EQ(plan.title, "");
  // By sha256sum of coreutils.
  EXPECT_EQ(plan.sha256, "6b8e42afc8bbc2aa567d9c8badf7469fc3da8bae50d9b221614b0723a930fda0");
  EXPECT_EQ(plan.design_units, Unit::Mm);
  EXPECT_EQ(plan.scan_units, Unit::Auto);
  EXPECT_FALSE(plan.uncertainty_mm.has_value());
  EXPECT_EQ(plan.coating_mm, 0.0);
  EXPECT_EQ(plan.method, AlignMethod::BestFit);
  EXPECT_EQ(plan.band.over_mm, 0.5);
  EXPECT_EQ(plan.band.under_mm, 0.5);
  EXPECT_TRUE(plan.zones.empty());
  EXPECT_TRUE(plan.holes.empty());
  EXPECT_EQ(plan.least_coverage, 0.6);
  EXPECT_EQ(plan.least_area_mm2, 4.0);
  EXPECT_TRUE(test::has(error_of("title = \"x\"\n"), "expected 'design'"));
}

TEST(ReadPlan, ReadsEveryKey) {
  const Plan plan = parse(R"(
title  = "Toolbox bracket, left"
checked_by = "bench 2"
design = "bracket.stl"
units  = "in"
[scan]
units = "m"
uncertainty = 0.05
coating = 0.01
scanner = "arm with a stripe"
[align]
method = "as-scanned"
[band]
over = 1
under = 0.25
[[zone]]
name = "mating face"
box = [[0, 0, -1], [90, 60, 1]]
over = 0.2
[[zone]]
name = "boss"
sphere = [[1, 2.5, 3], 4]
under = 0.1
[[hole]]
name = "M8 left"
at = [45, 15, 3]
position = 0.5
diameter = [8.2, 8.8]
bolt = 8.0
group = "floor"
[[hole]]
name = "spare"
at = [1, 2, 3]
[coverage]
least = 0.8
[region]
least_area = 0
)");
  EXPECT_EQ(plan.title, "Toolbox bracket, left");
  EXPECT_EQ(plan.checked_by, "bench 2");
  EXPECT_EQ(plan.scanner, "arm with a stripe");
  EXPECT_EQ(plan.design_units, Unit::Inch);
  EXPECT_EQ(plan.scan_units, Unit::M);
  EXPECT_EQ(plan.uncertainty_mm, 0.05);
  EXPECT_EQ(plan.coating_mm, 0.01);
  EXPECT_EQ(plan.method, AlignMethod::AsScanned);
  EXPECT_EQ(plan.band.over_mm, 1.0);
  ASSERT_EQ(plan.zones.size(), 2U);
  const auto& box = std::get<BoxShape>(plan.zones[0].shape);
  EXPECT_EQ(box.low_mm, Eigen::Vector3d(0, 0, -1));
  EXPECT_EQ(box.high_mm, Eigen::Vector3d(90, 60, 1));
  EXPECT_EQ(plan.zones[0].band.over_mm, 0.2);
  EXPECT_EQ(plan.zones[0].band.under_mm, 0.25);  // what a zone does not give is the plan's
  const auto& sphere = std::get<SphereShape>(plan.zones[1].shape);
  EXPECT_EQ(sphere.center_mm, Eigen::Vector3d(1, 2.5, 3));
  EXPECT_EQ(sphere.radius_mm, 4.0);
  ASSERT_EQ(plan.holes.size(), 2U);
  EXPECT_EQ(plan.holes[0].name, "M8 left");
  EXPECT_EQ(plan.holes[0].at_mm, Eigen::Vector3d(45, 15, 3));
  EXPECT_EQ(plan.holes[0].position_mm, 0.5);
  EXPECT_EQ(plan.holes[0].diameter_mm->low_mm, 8.2);
  EXPECT_EQ(plan.holes[0].diameter_mm->high_mm, 8.8);
  EXPECT_EQ(plan.holes[0].bolt_mm, 8.0);
  EXPECT_EQ(plan.holes[0].group, "floor");
  EXPECT_FALSE(plan.holes[1].diameter_mm.has_value());
  EXPECT_EQ(plan.least_coverage, 0.8);
  EXPECT_EQ(plan.least_area_mm2, 0.0);
}

TEST(ReadPlan, RefusesUnknownKeysWithLineColumnAndTheNearestKey) {
  EXPECT_TRUE(test::has(error_of("dessign = \"a\"\n"),
                        "part.toml:1:1: unknown key 'dessign', did you mean 'design'?"));
  EXPECT_TRUE(test::has(error_with_design("[band]\nover = 1\nundr = 1\n"), "part.toml:4:1"));
  for (const char* table : {"scan", "align", "band", "coverage", "region"}) {
    EXPECT_TRUE(test::has(error_with_design("[" + std::string(table) + "]\nzzz = 1\n"),
                          "unknown key '" + std::string(table) + ".zzz'"));
  }
  for (const char* table : {"zone", "hole"}) {
    EXPECT_TRUE(test::has(error_with_design("[[" + std::string(table) + "]]\nzzz = 1\n"),
                          "unknown key '" + std::string(table) + " 1.zzz'"));
  }
}

TEST(ReadPlan, RefusesWrongTypesAndSyntaxWithTheirPlace) {
  EXPECT_TRUE(test::has(error_of("design = 5\n"), "part.toml:1:10: expected text"));
  EXPECT_TRUE(test::has(error_of("design = \"a\n"), "part.toml:1:"));
  EXPECT_TRUE(test::has(error_with_design("band = 1\n"), "expected a table [band]"));
  EXPECT_TRUE(test::has(error_with_design("[zone]\nname = \"x\"\n"), "expected tables [[zone]]"));
  EXPECT_TRUE(test::has(error_with_design("[band]\nover = true\n"), "found true or false"));
}

TEST(ReadPlan, RefusesKeysWithinKeysThatWouldEndTheStack) {
  // Found by fuzz_plan's kind of input: the library's recursion over these ended the program.
  std::string key = "a";
  for (int i = 0; i < 120'000; ++i)
    key += ".a";
  EXPECT_TRUE(test::has(error_with_design(key + " = 1\n"), "part.toml:2: expected a key of a few"));
  EXPECT_TRUE(test::has(error_with_design("[" + key + "]\n"), "found more than 100"));
  const std::string title(99, '.');
  EXPECT_EQ(parse_plan("design = \"a\"\ntitle = \"" + title + "\"", "part.toml").title, title);
}

TEST(ReadPlan, RefusesWhatIsTooLargeForAPlan) {
  EXPECT_TRUE(test::has(error_with_design("# " + std::string(1'000'000, 'x') + "\n"),
                        "expected a plan of at most 1000000 bytes"));
}

TEST(ReadPlan, SaysTheNextStepInEveryMessage) {
  for (const char* text : {"", "design = 5\n", "dessign = \"a\"\n", "design = \"a\n",
                           "design = \"a\"\n[band]\nover = -1\n", "design = \"a\"\nzone = 1\n"}) {
    try {
      (void)parse_plan(text, "part.toml");
      ADD_FAILURE() << text;
    } catch (const Error& error) {
      EXPECT_FALSE(error.next().empty()) << text;
    }
  }
}

TEST(ReadPlan, RefusesValuesOutOfRange) {
  for (const char* text : {"[band]\nover = -0.1\n",
                           "[band]\nover = 0\nunder = 0\n",
                           "[band]\nover = nan\n",
                           "[band]\nprofile = 0\n",
                           "[band]\nprofile = 1\nover = 0.5\n",
                           "[band]\nprofile = 1\nuz = 0.6\n",
                           "[band]\nuz = 0.1\n",
                           "[band]\nover = inf\n",
                           "[scan]\nuncertainty = -1\n",
                           "[scan]\ncoating = -0.01\n",
                           "[coverage]\nleast = 0\n",
                           "[coverage]\nleast = 1.01\n",
                           "[region]\nleast_area = -1\n",
                           "[scan]\nunits = \"ft\"\n",
                           "units = \"auto\"\n",
                           "[[hole]]\nname = \"a\"\nat = [1, 2, 3]\nposition = 0\n",
                           "[[hole]]\nname = \"a\"\nat = [1, 2, 3]\nbolt = -8\n",
                           "[[hole]]\nname = \"a\"\nat = [1, 2, 3]\ngroup = \"b\"\n",
                           "[[hole]]\nname = \"a\"\nat = [1, 2, 3]\ndiameter = [8.8, 8.2]\n",
                           "[[hole]]\nname = \"a\"\nat = [1, 2]\n",
                           "[[hole]]\nname = \"a\"\n",
                           "[[hole]]\nat = [1,2,3]\n",
                           "[[zone]]\nname = \"z\"\nbox = [[0, 0, 0], [1, 0, 1]]\n",
                           "[[zone]]\nname = \"z\"\nsphere = [[0, 0, 0], 0]\n",
                           "[[zone]]\nname = \"z\"\nsphere = [[0, 0, 0], [1, 1, 1]]\n"}) {
    EXPECT_FALSE(error_with_design(text).empty()) << text;
  }
}

// ISO 1101: t = 0.30 is ±0.15; 0.6 UZ +0.2 is from −0.1 to +0.5; in ASME's way of writing it 0.03 U
// 0 is from −0.03 to 0, which is UZ −0.015 (shared/REFERENCE.md).
TEST(ReadPlan, TakesTheProfileOfASurfaceForABand) {
  const auto band = [](const std::string& text) {
    return parse_plan("design = \"p.stl\"\n[band]\n" + text, "p.toml").band;
  };
  EXPECT_NEAR(band("profile = 0.3\n").over_mm, 0.15, 1e-12);
  EXPECT_NEAR(band("profile = 0.3\n").under_mm, 0.15, 1e-12);
  EXPECT_NEAR(band("profile = 0.6\nuz = 0.2\n").over_mm, 0.5, 1e-12);
  EXPECT_NEAR(band("profile = 0.6\nuz = 0.2\n").under_mm, 0.1, 1e-12);
  EXPECT_NEAR(band("profile = 0.03\nuz = -0.015\n").over_mm, 0.0, 1e-12);
  EXPECT_NEAR(band("profile = 0.03\nuz = -0.015\n").under_mm, 0.03, 1e-12);
  const Plan plan = parse_plan(
      "design = \"p.stl\"\n[band]\nover = 1\n[[zone]]\nname = \"z\"\n"
      "sphere = [[0, 0, 0], 5]\nprofile = 0.4\n",
      "p.toml");
  EXPECT_EQ(plan.zones.at(0).band.over_mm, 0.2);
  EXPECT_EQ(plan.zones.at(0).band.under_mm, 0.2);
}

TEST(ReadPlan, WantsExactlyOneShapeAZone) {
  EXPECT_TRUE(test::has(error_with_design("[[zone]]\nname = \"z\"\n"), "found none"));
  EXPECT_TRUE(test::has(
      error_with_design("[[zone]]\nname = \"z\"\nbox = [[0,0,0],[1,1,1]]\nsphere = [[0,0,0],1]\n"),
      "found 'box' and 'sphere'"));
}

TEST(ReadPlan, ReadsAFileWithCrLfAndAByteOrderMark) {
  const test::TemporaryFile file(
      "part.toml", "\xEF\xBB\xBF" + test::with_cr_lf("design = \"part.stl\"\n[band]\nover = 2\n"));
  const Plan plan = read_plan(file.path());
  EXPECT_EQ(plan.band.over_mm, 2.0);
  EXPECT_EQ(plan.file, file.path());
  EXPECT_EQ(plan.design_path, file.path().parent_path() / "part.stl");
}

TEST(ReadPlan, MakesAPlanOfADesignAlone) {
  const Plan plan = plan_for_design("parts/a.stl");
  EXPECT_EQ(plan.design_path, "parts/a.stl");
  EXPECT_TRUE(plan.file.empty());
}

TEST(ReadPlan, ReadsZonesOfFourShapes) {
  const Plan plan = parse(
      "design = \"p.stl\"\n[[zone]]\nname = \"boss\"\n"
      "cylinder = [[1, 2, 3], [1, 2, 13], 4.5]\n"
      "[[zone]]\nname = \"top\"\nface = [1, 2.5, 3]\nover = 0.1\n");
  ASSERT_EQ(plan.zones.size(), 2U);
  const auto& cylinder = std::get<CylinderShape>(plan.zones[0].shape);
  EXPECT_EQ(cylinder.from_mm, Eigen::Vector3d(1, 2, 3));
  EXPECT_EQ(cylinder.to_mm, Eigen::Vector3d(1, 2, 13));
  EXPECT_EQ(cylinder.radius_mm, 4.5);
  EXPECT_EQ(std::get<FaceShape>(plan.zones[1].shape).at_mm, Eigen::Vector3d(1, 2.5, 3));
  EXPECT_EQ(plan.zones[1].band.over_mm, 0.1);
  const std::string zone = "[[zone]]\nname = \"z\"\n";
  EXPECT_TRUE(test::has(error_with_design(zone + "cylinder = [[1, 2, 3], 4]\n"),
                        "expected [[x, y, z], [x, y, z], radius] for 'cylinder'"));
  EXPECT_TRUE(test::has(error_with_design(zone + "cylinder = [[1, 2, 3], [1, 2, 4], 0]\n"),
                        "expected a radius above 0"));
  EXPECT_TRUE(test::has(error_with_design(zone + "cylinder = [[1, 2, 3], [1, 2, 3], 1]\n"),
                        "found one place twice"));
  EXPECT_TRUE(test::has(error_with_design(zone + "face = [1, 2]\n"), "3 numbers"));
  EXPECT_TRUE(test::has(error_with_design(zone + "face = [1, 2, 3]\nsphere = [[1, 2, 3], 4]\n"),
                        "found 'sphere' and 'face'"));
}

TEST(ReadPlan, KnowsTheClearanceHoleOfABolt) {
  const std::string hole = "design = \"p.stl\"\n[[hole]]\nname = \"A\"\nat = [1, 2, 3]\n";
  EXPECT_EQ(parse(hole + "bolt = 8\n").holes[0].clearance_mm, 8.4);  // ISO 273, fine
  EXPECT_FALSE(parse(hole + "bolt = 7.5\n").holes[0].clearance_mm.has_value());
  EXPECT_FALSE(parse(hole).holes[0].clearance_mm.has_value());
}

TEST(ReadPlan, RefusesTextAndNumbersBeyondWhatASheetCanShow) {
  EXPECT_TRUE(test::has(error_with_design("title = \"" + std::string(2001, 'x') + "\"\n"),
                        "expected at most 2000 bytes of text for 'title', found 2001"));
  EXPECT_TRUE(test::has(error_of("design = \"a\\u0000b.stl\"\n"), "found a byte of zero"));
  EXPECT_TRUE(test::has(error_with_design("[band]\nover = 1e300\n"), "at most 1e+12"));
  EXPECT_TRUE(test::has(error_with_design("[band]\nover = 9223372036854775807\n"), "found 92233"));
  EXPECT_TRUE(test::has(error_with_design("[[hole]]\nname = \"A\"\nat = [1e30, 0, 0]\n"),
                        "expected a number of at most 1e+12 for 'hole 1.at'"));
}

}  // namespace
}  // namespace trammel
