#pragma once

/// What all pages of a sheet share, made once.

#include <string>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/model/surface_rays.hpp"
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

  const Inspection& inspection;
  const Painter painter;
  const SurfaceRays& rays;              ///< the painter's
  const std::vector<Opening> openings;  ///< of the holes and slots of the verdict
  const std::vector<View> views;        ///< the first shows the worst best
  const std::vector<Finding> found;     ///< worst first
  const int decimals;                   ///< of lengths
};

}  // namespace trammel
