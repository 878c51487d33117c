#include <open3d/t/geometry/RaycastingScene.h>

#include <cstdint>
#include <vector>

#include "bench/closest_peers.hpp"

namespace trammel::bench {
namespace {

using open3d::core::Tensor;

/// A row a column of the matrix: Eigen's columns and the tensor's rows lie in memory alike.
template <typename Value, typename Matrix>
Tensor rows_of(const Matrix& columns, open3d::core::Dtype type) {
  std::vector<Value> values(static_cast<std::size_t>(columns.size()));
  for (Eigen::Index i = 0; i < columns.size(); ++i)
    values[static_cast<std::size_t>(i)] = static_cast<Value>(columns.data()[i]);
  return Tensor(values, {columns.cols(), 3}, type);
}

}  // namespace

struct Open3dPeer::Scene {
  open3d::t::geometry::RaycastingScene scene;
  Tensor queries, feet;
};

Open3dPeer::Open3dPeer(const Mesh& mesh) : scene_(std::make_unique<Scene>()) {
  scene_->scene.AddTriangles(rows_of<float>(mesh.vertices_mm, open3d::core::Float32),
                             rows_of<std::uint32_t>(mesh.triangles, open3d::core::UInt32));
}

Open3dPeer::~Open3dPeer() = default;

void Open3dPeer::take_queries(const Eigen::Matrix3Xd& points_mm) {
  scene_->queries = rows_of<float>(points_mm, open3d::core::Float32);
}

void Open3dPeer::run_queries(int threads) {
  scene_->feet = scene_->scene.ComputeClosestPoints(scene_->queries, threads).at("points");
}

Eigen::Matrix3Xd Open3dPeer::feet() const {
  const auto count = static_cast<Eigen::Index>(scene_->feet.GetLength());
  return Eigen::Map<const Eigen::Matrix3Xf>(scene_->feet.GetDataPtr<float>(), 3, count)
      .cast<double>();
}

}  // namespace trammel::bench
