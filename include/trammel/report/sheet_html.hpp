#pragma once

/// sheet.html: one file, no outside request.

#include <string>

#include "trammel/report/picture.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

/// @param still  of the context's first view: it stands where there is no script or no WebGL
[[nodiscard]] std::string sheet_html(const SheetContext& context, const Picture& still);

}  // namespace trammel
