#pragma once

/// What all pages of a sheet share, made once.

#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/model/surface_rays.hpp"
#include "trammel/report/balloon_names.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/openings.hpp"
#include "trammel/report/picture.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

struct SheetContext {
  /// @param inspection  must outlive this
  explicit SheetContext(const Inspection& inspection);
  SheetContext(const SheetContext&) = delete;
  SheetContext& operator=(const SheetContext&) = delete;

  /// What its balloon says, the same on every page: a region's number, or a short name of its own.
  /// @param finding  of this inspection, with a place (`has_place`)
  [[nodiscard]] std::string balloon(const Finding& finding) const;
  /// Whether paper tells of it alone (`regions_on_paper`), by a row and by balloons.
  /// @param region  index into verdict.regions
  [[nodiscard]] bool is_on_paper(std::size_t region) const;

  const Inspection& inspection;
  const Painter painter;
  const SurfaceRays& rays;                  ///< the painter's
  const std::vector<Opening> openings;      ///< of the holes and slots of the verdict
  const std::vector<View> views;            ///< the first shows the worst best
  const std::vector<Finding> found;         ///< worst first
  const BalloonNames names;                 ///< of the holes and slots
  const std::vector<std::size_t> on_paper;  ///< of the regions; see `is_on_paper`
  const int decimals;                       ///< of lengths
};

}  // namespace trammel
