#pragma once

/// The part of a design near a point, as a small mesh of its own: looking for a hole must not cost
/// a walk over three million triangles.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

struct NearTriangles {
  Mesh mesh;                 ///< vertices renumbered; zero-area triangles left out
  std::vector<int> origin;   ///< #F, triangle of the design
  Eigen::Matrix3Xd normals;  ///< 3 × #F, unit
  Eigen::VectorXd area_mm2;  ///< #F
  Eigen::Matrix3Xi
      across;  ///< 3 × #F, triangle over edge (corner k, corner k + 1), negative if none
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();
  double reach_mm = 0.0;
  bool whole = false;  ///< nothing of the design lies beyond the reach
  /// How far corners may lie off the shape that was drawn when the file keeps six digits: 0.0014 mm
  /// from 100 mm to 1 m.
  double written_to_mm = 0.0;

  [[nodiscard]] int size() const { return static_cast<int>(mesh.triangles.cols()); }
  [[nodiscard]] Eigen::Vector3d corner(int triangle, int k) const {
    return mesh.vertices_mm.col(mesh.triangles(k, triangle));
  }
  /// Edge k of the triangle has no neighbour here, yet may have one in the design: it lies beyond
  /// the reach.
  [[nodiscard]] bool cut_off(int triangle, int k) const;
};

/// The boxes of a design's triangles, for looking near many points.
class TriangleBoxes {
 public:
  /// @param design  must outlive this
  explicit TriangleBoxes(const Mesh& design);

  /// Every triangle whose box comes within `reach_mm` of the point, in the design's order. O(#F),
  /// about 10 ns a triangle.
  [[nodiscard]] NearTriangles near(const Eigen::Vector3d& point_mm, double reach_mm) const;

 private:
  const Mesh& design_;
  Eigen::Matrix3Xd low_mm_, high_mm_;  ///< 3 × #F
};

/// The same for one point: every triangle whose box comes within `reach_mm` of the point, in the
/// design's order.
[[nodiscard]] NearTriangles near_triangles(const Mesh& design, const Eigen::Vector3d& point_mm,
                                           double reach_mm);

}  // namespace trammel
