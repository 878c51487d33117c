/// Files from outside the project: malformed ones, and facts that were measured with other parsers.
/// The values stand in the README beside the data, which is not part of the project.

#include <gtest/gtest.h>

#include <filesystem>

#include "files_in_memory.hpp"
#include "trammel/base/files.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

const std::filesystem::path kData = std::filesystem::path(TRAMMEL_SOURCE_DIR) / "../shared/data";

RawGeometry parsed(const std::filesystem::path& path) {
  const FileBytes bytes(path);
  return parse_geometry(bytes.view(), path.filename().string());
}

MendedMesh mended(const std::string& file) {
  return mend(finite_mesh(parsed(kData / file), file).mesh);
}

class OpenData : public ::testing::Test {
 protected:
  void SetUp() override {
    if (!std::filesystem::exists(kData / "flawed")) GTEST_SKIP() << "no " << kData / "flawed";
  }
};

TEST_F(OpenData, FlawedFilesAreReadOrRefusedWithAReason) {
  std::size_t files = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(kData / "flawed")) {
    if (!entry.is_regular_file()) continue;
    ++files;
    try {
      const RawGeometry geometry = parsed(entry.path());
      EXPECT_FALSE(geometry.format.empty()) << entry.path();
      (void)mend(finite_mesh(geometry, "file").mesh);
    } catch (const Error& error) {
      EXPECT_EQ(error.kind(), ErrorKind::Input) << entry.path() << error.what();
      EXPECT_FALSE(error.problem().empty()) << entry.path();
    }
  }
  EXPECT_GT(files, 90U);
}

TEST_F(OpenData, SpiderIsOneMeshInTextAndBinary) {
  const RawGeometry text = parsed(kData / "flawed/a/Spider_ascii.stl");
  const RawGeometry binary = parsed(kData / "flawed/a/Spider_binary.stl");
  ASSERT_EQ(text.points.cols(), binary.points.cols());
  // The text holds six decimals, the binary floats: half a unit of the sixth decimal, and of float.
  const double rounding = 0.5e-6 + 1.2e-7 * binary.points.cwiseAbs().maxCoeff();
  EXPECT_LE((text.points - binary.points).cwiseAbs().maxCoeff(), rounding);
}

TEST_F(OpenData, BorderEdgesAreAsPublished) {
  EXPECT_EQ(mended("flawed/a/sphereWithHole.stl").health.open_edges, 9U);
  EXPECT_EQ(mended("flawed/b/soup.stl").health.open_edges, 300U);
}

TEST_F(OpenData, MultibodyHasTwelveEdgesOfMixedWindingAndIsMended) {
  const MeshHealth health = mended("flawed/b/multibody.stl").health;
  EXPECT_EQ(health.mixed_winding_edges, 12U);
  EXPECT_EQ(health.mixed_winding_left, 0U);
}

TEST_F(OpenData, Offset1HasFortyTrianglesWithoutCornersInSinglePrecision) {
  // The published counts are of float32 coordinates; in double no two of its vertices are one.
  Mesh mesh = finite_mesh(parsed(kData / "flawed/c/Offset1.obj"), "Offset1").mesh;
  EXPECT_EQ(mend(mesh).health.open_edges, 0U);
  mesh.vertices_mm = mesh.vertices_mm.cast<float>().cast<double>();
  EXPECT_TRUE(test::any_has(mend(mesh).health.repairs, "40 triangles without area dropped"));
}

TEST_F(OpenData, FeaturetypeIsClosedInPlyAndOnceWeldedInStl) {
  const MendedMesh ply = mended("cad/featuretype.ply");
  EXPECT_TRUE(ply.health.closed);
  EXPECT_EQ(ply.mesh.vertices_mm.cols(), 1722);
  EXPECT_EQ(ply.mesh.triangles.cols(), 3476);
  const MendedMesh stl = mended("cad/featuretype.STL");
  EXPECT_TRUE(stl.health.closed);
  EXPECT_EQ(stl.mesh.vertices_mm.cols(), 1722);
}

TEST_F(OpenData, SolidsHaveTheirPublishedAreaAndVolume) {
  const MendedMesh artifact = mended("nist-am-artifact/artifact.stl");
  EXPECT_TRUE(artifact.health.closed);
  EXPECT_EQ(artifact.mesh.vertices_mm.cols(), 3688);
  EXPECT_EQ(artifact.mesh.triangles.cols(), 7392);
  EXPECT_NEAR(signed_volume_mm3(artifact.mesh), 100980.0, 5.0);  // published to five digits
  for (const char* nut : {"nist-am-artifact/Parameter_quality_nut_1.stl",
                          "nist-am-artifact/Parameter_quality_nut_2.stl"}) {
    const MendedMesh mesh = mended(nut);
    EXPECT_EQ(mesh.mesh.triangles.cols(), 414);
    EXPECT_NEAR(surface_area_mm2(mesh.mesh), 1915.2, 0.05);  // published to one decimal
    EXPECT_NEAR(signed_volume_mm3(mesh.mesh), 4427.9, 0.05);
  }
}

TEST_F(OpenData, ScannedBoxIsInMetres) {
  const RawScan scan = read_scan(kData / "scans/box.obj");
  const Eigen::Vector3d size_mm = bounding_box(scan.scan.points_mm).size_mm() * 1000.0;
  // The points lie within half a step, 1/600 of the diagonal of 206 mm, of the published box.
  EXPECT_LE((size_mm - Eigen::Vector3d(49.5, 94.2, 176.0)).cwiseAbs().maxCoeff(), 0.7);
}

}  // namespace
}  // namespace trammel
