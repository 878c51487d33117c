#pragma once

/// overview.html: one file without a script and without an outside request.

#include <string>
#include <string_view>

#include "trammel/report/overview.hpp"

namespace trammel {

[[nodiscard]] std::string overview_html(const Overview& overview);

/// A name of a folder or file as a link to it beside the page ("./a%20b/sheet.html"): all but
/// letters, digits, - . _ ~ and / is written as its bytes (RFC 3986), so that no name is taken for
/// a scheme, a query or markup.
[[nodiscard]] std::string link_to(std::string_view name);

}  // namespace trammel
