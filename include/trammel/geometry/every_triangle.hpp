#pragma once

/// Distances by trying every triangle: what the surface index is checked against after each check.
///
/// It shares nothing with the index: no tree, no wide vectors, no code for the closest point of a
/// triangle. Only triangles whose bounding sphere lies farther off than an answer already had are
/// passed over, which needs no order and can lose none.

#include <Eigen/Core>
#include <limits>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// What all triangles together say of one point. Distances ≥ 0 in mm, infinite where nothing is
/// near enough.
struct MeasuredAgain {
  double nearest_mm = std::numeric_limits<double>::infinity();
  Eigen::Vector3d foot_mm = Eigen::Vector3d::Zero();  ///< of the nearest
  int triangle = -1;                                  ///< the nearest, −1 where there is none
  /// Nearest of those that look the point's way; the two differ where a triangle's direction is
  /// within rounding of the limit.
  double facing_least_mm = std::numeric_limits<double>::infinity();
  double facing_most_mm = std::numeric_limits<double>::infinity();
};

class EveryTriangle {
 public:
  /// Takes a pass over the mesh, whose reference it keeps.
  explicit EveryTriangle(const Mesh& mesh);

  /// Tries all triangles.
  /// @param normal        unit; triangles with n · `normal` ≥ `least_cosine` look the point's way
  /// @param most_mm       farther triangles need not be told apart from none
  [[nodiscard]] MeasuredAgain measure(const Eigen::Vector3d& point_mm,
                                      const Eigen::Vector3d& normal, double least_cosine,
                                      double most_mm) const;

  /// Closest point of one triangle: its plane where the point stands above it, else its sides.
  [[nodiscard]] Eigen::Vector3d foot_on(int triangle, const Eigen::Vector3d& point_mm) const;

  /// Unit normal of a triangle; zero for one without area.
  [[nodiscard]] Eigen::Vector3d normal_of(int triangle) const;

  /// Distance from a place on a triangle to the nearest of its three sides, mm.
  [[nodiscard]] double from_sides_mm(int triangle, const Eigen::Vector3d& foot_mm) const;

  /// Sum of the normals of all triangles that touch a place, each weighted by the angle it fills
  /// there [Bærentzen & Aanæs 2005]; not unit.
  [[nodiscard]] Eigen::Vector3d outwards_at(const Eigen::Vector3d& foot_mm, double within_mm) const;

 private:
  [[nodiscard]] Eigen::Vector3d corner(int triangle, int k) const;
  /// Whether the sphere of a triangle reaches within `most_mm` of the point.
  [[nodiscard]] bool may_touch(std::size_t triangle, const Eigen::Vector3f& from_middle,
                               float most_mm) const;
  [[nodiscard]] Eigen::Vector3f from_middle(const Eigen::Vector3d& p) const;

  /// About one triangle, from `middle_`; a little larger than it need be, so that rounding loses
  /// nothing. Single precision: of a large design it is the memory that takes the time.
  struct Sphere {
    float x, y, z, radius;
  };

  const Mesh& mesh_;
  Eigen::Vector3d middle_;
  std::vector<Sphere> spheres_;
};

}  // namespace trammel
