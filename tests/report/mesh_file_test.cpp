#include "trammel/report/mesh_file.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

TEST(MeshFile, ReadsBackAsItWas) {
  const Mesh mesh = test::bracket();
  for (const char* ending : {".stl", ".PLY", ".obj"}) {
    const std::string bytes = mesh_file_bytes(mesh, ending, 25.4);
    const RawGeometry back = parse_geometry(bytes, std::string("part") + ending);
    ASSERT_EQ(back.triangles.cols(), mesh.triangles.cols()) << ending;
    double worst = 0.0;
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
      for (int k = 0; k < 3; ++k)
        worst = std::max(worst, (25.4 * back.points.col(back.triangles(k, f)) -
                                 mesh.vertices_mm.col(mesh.triangles(k, f)))
                                    .norm());
    // Single precision of 90 mm.
    EXPECT_LT(worst, 1e-5) << ending;
  }
}

TEST(MeshFile, SaysHowFarWritingMovesAVertex) {
  Mesh mesh = test::box({0, 0, 0}, {1, 2, 4});
  EXPECT_EQ(written_rounding_mm(mesh, 1.0), 0.0);
  mesh.vertices_mm(0, 0) = 0.1;  // not a binary fraction
  EXPECT_NEAR(written_rounding_mm(mesh, 1.0), std::abs(0.1 - static_cast<double>(0.1F)), 1e-15);
}

TEST(ScanFile, KeepsPlacesAndNormals) {
  Scan scan;
  scan.points_mm = Eigen::Matrix3Xd::Random(3, 10);
  scan.normals = Eigen::Vector3d::UnitY().replicate(1, 10);
  const RawGeometry back = parse_geometry(scan_file_bytes(scan, 1.0), "scan.ply");
  EXPECT_LT((back.points - scan.points_mm).cwiseAbs().maxCoeff(), 1e-7);
  EXPECT_EQ(back.normals.col(3), Eigen::Vector3d::UnitY());
}

}  // namespace
}  // namespace trammel
