#pragma once

/// What a surface that is not closed leaves unknown about which side is inside.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

class SurfaceGaps {
 public:
  /// @param mesh  welded; each group of connected border edges bounds one gap
  explicit SurfaceGaps(const Mesh& mesh);

  /// 0 where the surface may be taken as closed, up to 0.5 in the middle of a gap: the share of all
  /// directions that lead out through gaps, or what the winding number lacks to a whole one
  /// [Jacobson et al. 2013, doi:10.1145/2461912.2461916]. A gap farther off than three times its
  /// size counts nothing: it is less than a fortieth of all directions.
  [[nodiscard]] double doubt_of_side(const Eigen::Vector3d& p) const;

 private:
  /// As wide as the fan of triangles from its centre to its edges.
  struct Gap {
    Eigen::Vector3d center_mm;
    double radius_mm;
    std::vector<Eigen::Vector3d> edges_mm;  ///< from, to, from, to, …
  };
  std::vector<Gap> gaps_;
};

}  // namespace trammel
