#pragma once

/// One picture of the changes, and where their balloons stand: the same for paper and page.

#include <string>
#include <vector>

#include "trammel/model/changes.hpp"
#include "trammel/report/balloons.hpp"
#include "trammel/report/picture.hpp"
#include "trammel/report/splat_picture.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

struct ChangesFigure {
  Picture picture;
  FlatBox place;  ///< of the picture, in the units of the room it was made for, y downwards
  std::vector<Balloon> balloons;         ///< the first changes; y downwards
  std::vector<Eigen::Vector2d> anchors;  ///< what each points at
  double scale = 1.0;                    ///< units a mm
};

/// Fitted into a room with its upper left corner at (0, 0), with space around for balloons.
/// @param pixels_per_unit  of the picture
[[nodiscard]] ChangesFigure changes_figure(const Changes& changes, const Splats& splats,
                                           const View& view, double width, double height,
                                           double pixels_per_unit);

}  // namespace trammel
