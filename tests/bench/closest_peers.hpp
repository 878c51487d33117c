#pragma once

/// Closest points on a mesh by general-purpose libraries: what the surface index is measured
/// against. Each lives in a .cpp of its own.

#include <Eigen/Core>
#include <memory>

#include "trammel/model/mesh.hpp"

namespace trammel::bench {

/// CGAL's AABB tree of triangles, in double precision, with its point hints.
class CgalPeer {
 public:
  explicit CgalPeer(const Mesh& mesh);
  ~CgalPeer();
  /// Feet of #Q points on the mesh, on all threads that tbb may use. @return 3 × #Q
  [[nodiscard]] Eigen::Matrix3Xd feet(const Eigen::Matrix3Xd& points_mm) const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

/// Open3D's RaycastingScene over Embree, in single precision.
class Open3dPeer {
 public:
  explicit Open3dPeer(const Mesh& mesh);
  ~Open3dPeer();
  /// Single-precision copies made ready beforehand, so that the copying is not timed.
  void take_queries(const Eigen::Matrix3Xd& points_mm);
  void run_queries(int threads);
  /// Of the last run. @return 3 × #Q
  [[nodiscard]] Eigen::Matrix3Xd feet() const;

 private:
  struct Scene;
  std::unique_ptr<Scene> scene_;
};

}  // namespace trammel::bench
