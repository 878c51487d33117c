#pragma once

/// A triangle mesh: the design, or a scan that was saved as a mesh.

#include <Eigen/Core>
#include <Eigen/Geometry>  // cross products of the vertices
#include <string>

namespace trammel {

struct Mesh {
  Eigen::Matrix3Xd vertices_mm;  ///< 3 × #V
  Eigen::Matrix3Xi triangles;    ///< 3 × #F, vertex indices, counter-clockwise seen from outside
  std::string name;              ///< file name without folder; for messages and the sheet
};

/// Axis-aligned box around points.
struct Box {
  Eigen::Vector3d low_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d high_mm = Eigen::Vector3d::Zero();
  [[nodiscard]] Eigen::Vector3d size_mm() const { return high_mm - low_mm; }
  [[nodiscard]] Eigen::Vector3d center_mm() const { return 0.5 * (low_mm + high_mm); }
  [[nodiscard]] double diagonal_mm() const { return size_mm().norm(); }
};

/// @param points_mm  3 × #P; an empty set gives a box of size 0 at the origin
[[nodiscard]] Box bounding_box(const Eigen::Matrix3Xd& points_mm);

/// Twice the area of triangle `index` times its outward normal.
[[nodiscard]] Eigen::Vector3d area_vector(const Mesh& mesh, Eigen::Index index);

/// Sum of triangle areas, mm².
[[nodiscard]] double surface_area_mm2(const Mesh& mesh);

/// Volume by the divergence theorem, mm³; meaningful for closed meshes, negative when inside out.
[[nodiscard]] double signed_volume_mm3(const Mesh& mesh);

/// Throws Internal when an index is out of range or a coordinate is not finite.
void check_mesh(const Mesh& mesh);

}  // namespace trammel
