#pragma once

/// What squaring a scan leaves beside the scan: figures and a page.

#include <filesystem>
#include <string>

#include "trammel/model/squared.hpp"
#include "trammel/report/paper.hpp"

namespace trammel {

/// square.json: matrix, planes with residual and standard error in degrees, notes.
[[nodiscard]] std::string squared_json(const Squared& squared);

/// One page: the squared scan from above, from its left and from its front, with its axes, and how
/// surely each is known.
[[nodiscard]] std::string squared_pdf(const Squared& squared, Paper paper = Paper::A4);

/// Five lines or so for a terminal. @param folder  named in the last line
[[nodiscard]] std::string squared_summary(const Squared& squared,
                                          const std::filesystem::path& folder);

}  // namespace trammel
