#pragma once

/// A cut through the part at its worst place: the design's line and where the scan lies beside it.

#include <array>
#include <optional>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

/// A piece of the cut through one cell; in the plane of the section's view, mm.
struct SectionPiece {
  Eigen::Vector2d from, to;           ///< on the design
  Eigen::Vector2d outward;            ///< the cell's normal in the plane
  double from_mm = 0.0, to_mm = 0.0;  ///< deviation at the two ends; NaN where unseen
};

struct Section {
  View view;                           ///< looks square at the cut
  double plane_mm = 0.0;               ///< the cut is where p · view.towards is this, design frame
  std::vector<SectionPiece> pieces;    ///< all of the cut inside the window
  FlatBox window;                      ///< what is worth showing
  Eigen::Vector2d peak, peak_outward;  ///< the region's worst in the cut; away from material
};

/// The cut through a region where it is worst, square to one of the part's axes: of the two that
/// the region allows, the one along which the deviation changes more.
/// @param corners  3 × #C, of `corner_deviations`
/// @return  nothing when the plane misses the region
[[nodiscard]] std::optional<Section> section_through(const Inspection& inspection,
                                                     const Eigen::Matrix3Xd& corners,
                                                     const Region& region);

}  // namespace trammel
