#pragma once

/// What a straight line meets first on the design's cells (Embree).

#include <Eigen/Core>
#include <memory>
#include <vector>

#include "trammel/model/surface_map.hpp"

namespace trammel {

class SurfaceRays {
 public:
  /// @param cells  need not outlive this
  explicit SurfaceRays(const SurfaceCells& cells);
  ~SurfaceRays();
  SurfaceRays(const SurfaceRays&) = delete;
  SurfaceRays& operator=(const SurfaceRays&) = delete;

  struct Hit {
    int cell = -1;             ///< −1: nothing was met
    float u = 0.0F, v = 0.0F;  ///< weights of the cell's second and third corner
    double distance_mm = 0.0;  ///< along the unit direction
  };
  /// Both sides of a cell are met.
  /// @param direction  unit
  [[nodiscard]] Hit first_hit(const Eigen::Vector3d& from_mm,
                              const Eigen::Vector3d& direction) const;

  /// The same for several lines that run side by side: in the time of about half as many.
  /// @param from_mm  3 × N starts
  /// @param out      N hits
  void first_hits(const Eigen::Matrix3Xd& from_mm, const Eigen::Vector3d& direction,
                  std::vector<Hit>& out) const;

  /// True when nothing stands between a point of the surface and a viewer far off.
  /// @param towards  unit, from the part to the viewer
  [[nodiscard]] bool is_clear(const Eigen::Vector3d& on_surface_mm, const Eigen::Vector3d& normal,
                              const Eigen::Vector3d& towards) const;

 private:
  struct Scene;
  std::unique_ptr<Scene> scene_;
};

/// The cells' own, where they were made, or new ones: of millions of cells that takes seconds.
[[nodiscard]] std::shared_ptr<const SurfaceRays> rays_of(const SurfaceCells& cells);

}  // namespace trammel
