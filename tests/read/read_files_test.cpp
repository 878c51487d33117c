#include "trammel/read/read_files.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "files_in_memory.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

const std::string kTetrahedron =
    "OFF\n4 4 0\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n3 0 2 1\n3 0 1 3\n3 1 2 3\n3 0 3 2\n";

TEST(ReadDesign, IsMendedScaledAndNamed) {
  const test::TemporaryFile file("part.off", kTetrahedron);
  const Design design = read_design(file.path(), Unit::Inch);
  EXPECT_TRUE(design.health.closed);
  EXPECT_NEAR(signed_volume_mm3(design.mesh), 25.4 * 25.4 * 25.4 / 6.0, 1e-9);
  EXPECT_EQ(design.file, file.path().filename().string());
  EXPECT_EQ(design.sha256.size(), 64U);
}

TEST(ReadDesign, SaysWhatWasSplitAndMended) {
  const test::TemporaryFile file("part.off", "OFF\n4 1 0\n0 0 0\n1 0 0\n1 1 0\n0 1 0\n4 0 1 2 3\n");
  EXPECT_TRUE(test::any_has(read_design(file.path(), Unit::Mm).health.repairs,
                            "1 face of more than three corners was split"));
}

TEST(ReadDesign, NeedsTriangles) {
  const test::TemporaryFile file("part.xyz", "1 2 3\n4 5 6\n7 8 9\n");
  EXPECT_TRUE(test::has(test::input_error([&] { (void)read_design(file.path(), Unit::Mm); }),
                        "expected a design of triangles, found none"));
}

TEST(ReadDesign, NeedsAnArea) {
  const test::TemporaryFile file("part.obj", "v 0 0 0\nv 50 0 0\nv 100 0 0\nf 1 2 3\n");
  EXPECT_TRUE(test::has(test::input_error([&] { (void)read_design(file.path(), Unit::Mm); }),
                        "expected triangles with an area, found none"));
}

TEST(ReadDesign, ThatIsMissingIsAnErrorOfItsOwnKind) {
  try {
    (void)read_design(std::filesystem::temp_directory_path() / "no-such-part.stl", Unit::Mm);
    ADD_FAILURE() << "expected an Error";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Missing);
  }
}

TEST(ReadScan, KeepsPointsAsStoredAlsoThoseThatAreNotFinite) {
  const test::TemporaryFile file("scan.xyz", "1 2 3\nnan 5 6\n7 8 9\n0.5 0.25 0\n");
  const RawScan raw = read_scan(file.path());
  ASSERT_EQ(raw.scan.size(), 4);
  EXPECT_TRUE(std::isnan(raw.scan.points_mm(0, 1)));
  EXPECT_EQ(raw.scan.points_mm.col(3), Eigen::Vector3d(0.5, 0.25, 0));
  EXPECT_FALSE(raw.scan.has_normals());
  EXPECT_FALSE(raw.scan.from_mesh);
}

std::string cloud(const std::string& third_normal) {
  return "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
         "property float z\nproperty float nx\nproperty float ny\nproperty float nz\nend_header\n"
         "0 0 0 0 0 2\n1 0 0 0 3 0\n0 1 0 " +
         third_normal + "\n";
}

TEST(ReadScan, MakesNormalsUnit) {
  const test::TemporaryFile file("scan.ply", cloud("3 4 0"));
  const RawScan raw = read_scan(file.path());
  ASSERT_TRUE(raw.scan.has_normals());
  EXPECT_NEAR((raw.scan.normals.col(2) - Eigen::Vector3d(0.6, 0.8, 0)).norm(), 0.0, 1e-15);
}

TEST(ReadScan, DropsAllNormalsWhenOneHasNoDirection) {
  for (const char* bad : {"0 0 0", "nan 0 1", "inf 0 0"}) {
    const test::TemporaryFile file("scan.ply", cloud(bad));
    const RawScan raw = read_scan(file.path());
    EXPECT_FALSE(raw.scan.has_normals()) << bad;
    EXPECT_TRUE(test::any_has(raw.notes, "normals were dropped")) << bad;
  }
}

TEST(ReadScan, NeedsThreeFinitePoints) {
  const test::TemporaryFile file("scan.xyz", "1 2 3\nnan 5 6\n7 8 9\n");
  EXPECT_TRUE(test::has(test::input_error([&] { (void)read_scan(file.path()); }),
                        "at least 3 points, found 2"));
}

TEST(ReadScan, TurnsAMeshIntoPoints) {
  const test::TemporaryFile file("scan.off", kTetrahedron);
  const RawScan raw = read_scan(file.path());
  EXPECT_TRUE(raw.scan.from_mesh);
  EXPECT_GT(raw.scan.size(), 1000);
  EXPECT_TRUE(raw.scan.has_normals());
  EXPECT_EQ(raw.sha256.size(), 64U);
}

TEST(ReadScan, TakesAllPointsOfACloudThatHoldsAFewFaces) {
  std::string text = "OFF\n10 1 0\n";
  for (int i = 0; i < 10; ++i)
    text += std::to_string(i) + " " + std::to_string(i * i) + " 0\n";
  const test::TemporaryFile file("scan.off", text + "3 0 1 2\n");
  const RawScan raw = read_scan(file.path());
  EXPECT_EQ(raw.scan.size(), 10);
  EXPECT_TRUE(test::any_has(raw.notes, "less than half of its points"));
}

}  // namespace
}  // namespace trammel
