#pragma once

/// Shapes whose answers are known in closed form, and parts of a workshop, as meshes.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// Axis-aligned box, 12 triangles.
[[nodiscard]] Mesh box(const Eigen::Vector3d& low_mm, const Eigen::Vector3d& high_mm);
/// Icosphere about the origin: 20 · 4^levels triangles, vertices on the sphere.
[[nodiscard]] Mesh sphere(double radius_mm, int levels);
/// Closed cylinder along z about the origin.
[[nodiscard]] Mesh cylinder(double radius_mm, double height_mm, int segments);
/// Torus about z.
[[nodiscard]] Mesh torus(double ring_mm, double tube_mm, int ring_segments, int tube_segments);

/// What a closed outline of (distance from the axis, height), counter-clockwise, sweeps about z;
/// places on the axis become one vertex.
[[nodiscard]] Mesh turned(const std::vector<Eigen::Vector2d>& outline, int segments);
/// Bushing: bore of 17 mm, 25 mm across and 30 mm high, with a collar of 34 mm, 4 mm high, below.
[[nodiscard]] Mesh bushing(int segments = 96);

/// A straight-sided hole through a plate: centre in the plate's own plane and diameter.
struct PlateHole {
  Eigen::Vector2d center_mm;
  double diameter_mm;
  int segments = 48;
};
/// Plate [0, width] × [0, depth] × [0, thickness] with round through holes; closed and welded.
[[nodiscard]] Mesh plate(double width_mm, double depth_mm, double thickness_mm,
                         const std::vector<PlateHole>& holes = {});

/// A region of the z = 0 plane bounded by closed polygons (first the outer one, counter-clockwise,
/// then holes, clockwise), swept from z = 0 to `height_mm`; closed and welded.
[[nodiscard]] Mesh extrude(const std::vector<std::vector<Eigen::Vector2d>>& loops,
                           double height_mm);

/// What can be made otherwise than drawn when a bracket is built.
struct BracketOptions {
  double thickness_mm = 3.0;
  /// Moves the base hole that is drawn at (70, 44).
  Eigen::Vector2d second_base_hole_off_mm = Eigen::Vector2d::Zero();
};
/// Sheet-metal bracket: base [0, 90] × [0, 60] and upright [0, 60] × [0, 55] in y and z of one
/// thickness, joined along a square bend at x = z = 0; two holes of 8.4 mm in the base at (40, 15)
/// and (70, 44), in the upright one of 6.6 mm at y, z = (12, 40) and one of 22 mm at (34, 28);
/// one corner of the upright cut off at a slope; no symmetry. Closed and welded.
[[nodiscard]] Mesh bracket(double thickness_mm = 3.0);
[[nodiscard]] Mesh bracket(const BracketOptions& options);
/// Open-topped printed housing 110 × 75 × 40 mm with walls of 2.4 mm and a floor of 3 mm; four
/// screw bosses (7 mm across, 18 mm high) with blind holes of 3.2 mm at no regular places; two
/// holes of 6.6 mm through the floor at (20, 37) and (92, 30); a round cable opening of 14 mm in
/// the wall y = 0 around x, z = (78, 22); no symmetry. Closed and welded.
[[nodiscard]] Mesh housing();
/// Tray of thin sheet: floor [0, 180] × [0, 120], four walls 35 mm high, a rib across the floor, an
/// ear off one wall; no symmetry. Blocks that overlap: only its outside is that of a part.
[[nodiscard]] Mesh tray(double thickness_mm);
/// Round flange with a hub and a ring of `bolts` holes: symmetric under turns of 360°/bolts.
[[nodiscard]] Mesh flange(int bolts = 6);

/// Moves every vertex.
[[nodiscard]] Mesh moved(Mesh mesh, const Eigen::Isometry3d& motion);

/// A coordinate as "%g" writes it.
[[nodiscard]] double to_six_digits(double value);
/// Halves edges until none is longer: for bending a mesh smoothly. Shape is unchanged.
[[nodiscard]] Mesh refined(const Mesh& mesh, double longest_edge_mm);
/// Applies a displacement to every vertex.
template <typename Displace>
[[nodiscard]] Mesh displaced(Mesh mesh, const Displace& displace) {
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i) {
    mesh.vertices_mm.col(i) += displace(Eigen::Vector3d(mesh.vertices_mm.col(i)));
  }
  return mesh;
}
/// Several meshes as one (vertices are not welded).
[[nodiscard]] Mesh together(const std::vector<Mesh>& meshes);

}  // namespace trammel::test
