#include "trammel/report/sheet_context.hpp"

#include "trammel/report/view_choice.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

std::vector<HoleRims> all_rims(const Inspection& inspection, const SurfaceRays& rays) {
  std::vector<HoleRims> rims;
  for (const HoleResult& hole : inspection.verdict.holes)
    rims.push_back(hole_rims(hole, rays));
  return rims;
}

}  // namespace

SheetContext::SheetContext(const Inspection& of)
    : inspection(of),
      painter(of),
      rays(painter.rays()),
      rims(all_rims(of, rays)),
      views(choose_views(of, rays, rims)),
      found(findings(of)),
      decimals(length_decimals(of)) {}

}  // namespace trammel
