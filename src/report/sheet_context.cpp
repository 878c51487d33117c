#include "trammel/report/sheet_context.hpp"

#include "trammel/report/view_choice.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
SheetContext::SheetContext(const Inspection& of)
    : inspection(of),
      painter(of),
      rays(painter.rays()),
      openings(openings_of(of.verdict, rays)),
      views(choose_views(of, rays, openings)),
      found(findings(of)),
      decimals(length_decimals(of)) {}

}  // namespace trammel
