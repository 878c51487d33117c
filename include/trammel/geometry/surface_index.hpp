#pragma once

/// Closest point on a triangle mesh, exactly, for millions of points.
///
/// A bounding-volume hierarchy in double precision. The sign comes from angle-weighted
/// pseudonormals [Bærentzen & Aanæs 2005, doi:10.1109/TVCG.2005.49]: right for closed meshes of
/// consistent winding also where the closest feature is an edge or a vertex. On open meshes a foot
/// on a border edge or border vertex has no sign; ask `on_border`.

#include <Eigen/Core>
#include <limits>
#include <memory>

#include "trammel/geometry/closest_on_triangle.hpp"
#include "trammel/geometry/mesh_topology.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// The closest point of a mesh; `triangle` is −1 when there is none within the reach.
struct SurfacePoint {
  Eigen::Vector3d foot_mm = Eigen::Vector3d::Zero();
  double distance_mm = std::numeric_limits<double>::infinity();  ///< ≥ 0
  int triangle = -1;
  Feature feature = Feature::Face;
  [[nodiscard]] bool found() const { return triangle >= 0; }
};

/// No point is farther from a design than from a foot on it, such as that of the point before: a
/// hair more, for rounding; infinite where none was found. A search with that reach is quicker.
[[nodiscard]] double no_farther_than_mm(const SurfacePoint& known, const Eigen::Vector3d& point_mm);

/// Closest point by trying every triangle: the slow twin that checks the index, and serves one
/// query. Of triangles that are as near as each other, but for rounding, it is the lowest.
/// Triangles without area count as the segment or point they are.
[[nodiscard]] SurfacePoint nearest_on_mesh(const Mesh& mesh, const Eigen::Vector3d& point_mm);

class SurfaceIndex {
 public:
  static constexpr double kNoLimit = std::numeric_limits<double>::infinity();

  /// Builds in O(#F log #F). Vertices must be welded (geometry/mend.hpp) for signs to be right.
  explicit SurfaceIndex(Mesh mesh);
  ~SurfaceIndex();
  SurfaceIndex(SurfaceIndex&&) noexcept;
  SurfaceIndex& operator=(SurfaceIndex&&) noexcept;

  [[nodiscard]] const Mesh& mesh() const;

  /// Closest point within `reach_mm`.
  [[nodiscard]] SurfacePoint nearest(const Eigen::Vector3d& point_mm,
                                     double reach_mm = kNoLimit) const;

  /// Closest point among triangles whose outward normal n holds n · `normal` ≥ `least_cosine`:
  /// on thin sheet the near face may be the wrong one.
  /// @param normal  unit, of the scanned surface at the point
  [[nodiscard]] SurfacePoint nearest_facing(const Eigen::Vector3d& point_mm,
                                            const Eigen::Vector3d& normal, double least_cosine,
                                            double reach_mm = kNoLimit) const;

  /// Unit outward normal of a triangle; zero for one without area.
  [[nodiscard]] Eigen::Vector3d face_normal(int triangle) const;

  /// Angle-weighted pseudonormal of the feature that a foot lies on, unit unless undefined (zero).
  [[nodiscard]] Eigen::Vector3d pseudonormal(const SurfacePoint& at) const;

  /// `at.distance_mm` with the sign of the side that `point_mm` is on; + outside.
  [[nodiscard]] double signed_distance(const Eigen::Vector3d& point_mm,
                                       const SurfacePoint& at) const;

  /// Of its triangles.
  [[nodiscard]] const EdgeNeighbours& neighbours() const;

  /// The foot lies on an edge with one triangle, or on a vertex of such an edge.
  [[nodiscard]] bool on_border(const SurfacePoint& at) const;

  /// Any edge of the mesh has one triangle.
  [[nodiscard]] bool has_border() const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace trammel
