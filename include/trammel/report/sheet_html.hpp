#pragma once

/// sheet.html: one file, no outside request.

#include <string>

#include "trammel/report/sheet_context.hpp"
#include "trammel/report/viewer_mesh.hpp"
#include "trammel/report/viewer_points.hpp"

namespace trammel {

/// @param mesh, points  of the context's inspection
/// @param still  of the context's first view, as PNG: it stands where there is no script or no
/// WebGL
[[nodiscard]] std::string sheet_html(const SheetContext& context, const ViewerMesh& mesh,
                                     const ViewerPoints& points, const std::string& still);

}  // namespace trammel
