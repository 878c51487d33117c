#pragma once

/// How the worst readings went over a batch, as a drawing.

#include <string>

#include "trammel/report/overview.hpp"

namespace trammel {

/// Over the scans in their order: the worst proud and shy reading and the worst hole, each as a
/// share of what it is allowed, so that zones of different bands stand on one scale and 1 is a
/// limit. Proud goes up, shy down. Points have the shape of the scan's verdict, link to its row
/// ("#scan-3") and tell their figures; a scan without a trusted reading breaks the line and is
/// crossed. What goes beyond five times the limit is drawn at the border, as an arrow.
/// @return  an SVG element; empty for less than two scans that were checked
[[nodiscard]] std::string trend_svg(const Overview& overview);

}  // namespace trammel
