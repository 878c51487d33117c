#include "trammel/report/sheet_context.hpp"

#include <algorithm>

#include "trammel/report/paper_regions.hpp"
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
      names(balloon_names(of.verdict)),
      on_paper(regions_on_paper(of.verdict)),
      decimals(length_decimals(of)) {}

bool SheetContext::is_on_paper(std::size_t region) const {
  return std::binary_search(on_paper.begin(), on_paper.end(), region);
}

std::string SheetContext::balloon(const Finding& finding) const {
  switch (finding.subject) {
    case Subject::Hole: return names.holes[finding.index];
    case Subject::Slot: return names.slots[finding.index];
    case Subject::Region:
    case Subject::Distance:
    case Subject::Form: return finding.label;
  }
  return finding.label;
}

}  // namespace trammel
