#include "bench/open3d_alignment.hpp"

#include <open3d/pipelines/registration/CorrespondenceChecker.h>
#include <open3d/pipelines/registration/Feature.h>
#include <open3d/pipelines/registration/Registration.h>

#include <cstddef>
#include <memory>

#include "bench/bench_table.hpp"
#include "bench/plain_job.hpp"

namespace trammel::bench {
namespace {

namespace o3d = open3d::geometry;
namespace registration = open3d::pipelines::registration;

constexpr double kVoxelShare = 1.0 / 70.0;  // of the diagonal
constexpr double kFineShare = 1.0 / 500.0;
constexpr std::size_t kSamples = 200000;
constexpr int kRansacRounds = 100000;  // the library's own default

/// Points thinned for matching, with normals and features.
struct Thinned {
  std::shared_ptr<o3d::PointCloud> points;
  std::shared_ptr<registration::Feature> features;
};

Thinned thinned(const o3d::PointCloud& cloud, double voxel_mm) {
  Thinned out{cloud.VoxelDownSample(voxel_mm), nullptr};
  out.points->EstimateNormals(o3d::KDTreeSearchParamHybrid(2.0 * voxel_mm, 30));
  out.features = registration::ComputeFPFHFeature(
      *out.points, o3d::KDTreeSearchParamHybrid(5.0 * voxel_mm, 100));
  return out;
}

Eigen::Matrix4d coarse_pose(const o3d::PointCloud& scan, const o3d::PointCloud& samples,
                            double voxel_mm) {
  const Thinned source = thinned(scan, voxel_mm), target = thinned(samples, voxel_mm);
  const double near_mm = 1.5 * voxel_mm;
  const registration::CorrespondenceCheckerBasedOnEdgeLength edges(0.9);
  const registration::CorrespondenceCheckerBasedOnDistance distances(near_mm);
  return registration::RegistrationRANSACBasedOnFeatureMatching(
             *source.points, *target.points, *source.features, *target.features, true, near_mm,
             registration::TransformationEstimationPointToPoint(false), 3, {edges, distances},
             registration::RANSACConvergenceCriteria(kRansacRounds, 0.999))
      .transformation_;
}

Eigen::Matrix4d fine_pose(const o3d::PointCloud& scan, const o3d::PointCloud& samples,
                          double fine_mm, const Eigen::Matrix4d& start) {
  return registration::RegistrationICP(*scan.VoxelDownSample(fine_mm), samples, 3.0 * fine_mm,
                                       start, registration::TransformationEstimationPointToPlane())
      .transformation_;
}

}  // namespace

Eigen::Matrix4d aligned(const o3d::PointCloud& scan, o3d::TriangleMesh& design) {
  const double diagonal_mm = (design.GetMaxBound() - design.GetMinBound()).norm();
  const std::shared_ptr<o3d::PointCloud> samples = design.SamplePointsUniformly(kSamples);
  const Eigen::Matrix4d coarse = coarse_pose(scan, *samples, kVoxelShare * diagonal_mm);
  return fine_pose(scan, *samples, kFineShare * diagonal_mm, coarse);
}

std::optional<PlainPose> plain_alignment(const Mesh& design, const Eigen::Matrix3Xd& points_mm) {
  o3d::TriangleMesh mesh;
  for (Eigen::Index v = 0; v < design.vertices_mm.cols(); ++v)
    mesh.vertices_.push_back(design.vertices_mm.col(v));
  for (Eigen::Index t = 0; t < design.triangles.cols(); ++t)
    mesh.triangles_.push_back(design.triangles.col(t));
  o3d::PointCloud scan;
  for (Eigen::Index i = 0; i < points_mm.cols(); ++i)
    scan.points_.push_back(points_mm.col(i));
  mesh.ComputeVertexNormals();
  Stopwatch watch;
  PlainPose out;
  out.T_design_scan.matrix() = aligned(scan, mesh);
  out.time_ms = watch.lap_ms();
  return out;
}

}  // namespace trammel::bench
