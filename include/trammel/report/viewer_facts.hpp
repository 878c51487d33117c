#pragma once

/// What the script of sheet.html is told beside the cells and points.

#include <string>

#include "trammel/report/sheet_context.hpp"
#include "trammel/report/viewer_mesh.hpp"
#include "trammel/report/viewer_points.hpp"

namespace trammel {

/// One JSON object, safe inside a script element: scales, bands, colours, views, findings, rings.
[[nodiscard]] std::string viewer_facts(const SheetContext& context, const ViewerMesh& mesh,
                                       const ViewerPoints& points);

/// How true the picture is: "Shown as measured …" or joined cells and within what.
[[nodiscard]] std::string shown_words(const ViewerMesh& mesh);

}  // namespace trammel
