#pragma once

/// A coloured picture of the design, by ray casting; needs no display.

#include <Eigen/Core>
#include <cstdint>
#include <memory>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/model/surface_rays.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

/// 8-bit RGB, rows from the top.
struct Picture {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgb;  ///< 3 · width · height
};

struct PictureSettings {
  FlatBox frame;               ///< what to show, mm in the view's plane
  double mm_per_pixel = 0.0;   ///< > 0
  double hatch_pixels = 10.0;  ///< from one line over unseen surface to the next, square to them
  double line_pixels = 1.3;    ///< width of edges and hatching, up to 2
};

/// Paints design cells with the colours of their deviation.
class Painter {
 public:
  /// @param inspection  must outlive this
  explicit Painter(const Inspection& inspection);

  /// Step colours with crisp borders, unseen surface white under lines at 45°, edges of the part
  /// drawn, light only darkening within a step. One ray a pixel, nine where anything changes.
  /// The same bytes on any number of threads.
  [[nodiscard]] Picture paint(const View& view, const PictureSettings& settings) const;

  /// Over `inspection.surface.cells`.
  [[nodiscard]] const SurfaceRays& rays() const { return *rays_; }

  /// 3 × #C, as `corner_deviations` gives them.
  [[nodiscard]] const Eigen::Matrix3Xd& corners() const { return corners_; }

 private:
  const Inspection& inspection_;
  std::shared_ptr<const SurfaceRays> rays_;
  Eigen::Matrix3Xd corners_;  ///< 3 × #C deviation at the cells' corners
};

}  // namespace trammel
