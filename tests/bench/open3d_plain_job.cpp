#include <open3d/geometry/PointCloud.h>
#include <open3d/geometry/TriangleMesh.h>
#include <open3d/io/PointCloudIO.h>
#include <open3d/io/TriangleMeshIO.h>
#include <open3d/t/geometry/RaycastingScene.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "bench/bench_table.hpp"
#include "bench/open3d_alignment.hpp"
#include "bench/plain_job.hpp"

namespace trammel::bench {
namespace {

namespace o3d = open3d::geometry;
using open3d::core::Tensor;

constexpr double kBand_mm = 0.3;

Tensor float_rows(const std::vector<Eigen::Vector3d>& points) {
  std::vector<float> values;
  values.reserve(3 * points.size());
  for (const Eigen::Vector3d& p : points)
    for (int k = 0; k < 3; ++k)
      values.push_back(static_cast<float>(p[k]));
  return Tensor(values, {static_cast<std::int64_t>(points.size()), 3}, open3d::core::Float32);
}

/// Distance to the design of every point, as a colour from green to red at the band.
void colour_by_distance(o3d::PointCloud& scan, const o3d::TriangleMesh& design) {
  std::vector<std::uint32_t> corners;
  corners.reserve(3 * design.triangles_.size());
  for (const Eigen::Vector3i& triangle : design.triangles_)
    for (int k = 0; k < 3; ++k)
      corners.push_back(static_cast<std::uint32_t>(triangle[k]));
  open3d::t::geometry::RaycastingScene scene;
  scene.AddTriangles(float_rows(design.vertices_),
                     Tensor(corners, {static_cast<std::int64_t>(design.triangles_.size()), 3},
                            open3d::core::UInt32));
  const Tensor feet = scene.ComputeClosestPoints(float_rows(scan.points_)).at("points");
  const float* foot = feet.GetDataPtr<float>();
  scan.colors_.resize(scan.points_.size());
  for (std::size_t i = 0; i < scan.points_.size(); ++i) {
    const Eigen::Vector3d at(foot[3 * i], foot[3 * i + 1], foot[3 * i + 2]);
    const double share = std::min(1.0, (scan.points_[i] - at).norm() / kBand_mm);
    scan.colors_[i] = {share, 1.0 - share, 0.0};
  }
}

}  // namespace

std::optional<double> plain_job_ms(const std::filesystem::path& folder) {
  Stopwatch watch;
  o3d::TriangleMesh design;
  o3d::PointCloud scan;
  open3d::io::ReadTriangleMesh((folder / "part.stl").string(), design);
  open3d::io::ReadPointCloud((folder / "scan.ply").string(), scan);
  design.RemoveDuplicatedVertices();
  design.ComputeVertexNormals();
  scan.Transform(aligned(scan, design));
  colour_by_distance(scan, design);
  open3d::io::WritePointCloud((folder / "plain.ply").string(), scan);
  return watch.lap_ms();
}

}  // namespace trammel::bench
