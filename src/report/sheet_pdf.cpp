#include "trammel/report/report.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/words.hpp"

namespace trammel {

DrawnSheet draw_sheet(const SheetContext& context, Paper paper) {
  const Inspection& inspection = context.inspection;
  PdfCanvas canvas(part_title(inspection) + ": " + outcome_name(inspection.verdict.outcome),
                   inspection.run.date, paper);
  draw_front_page(canvas, context);
  std::vector<Picture> views = draw_view_pages(canvas, context);
  draw_table_pages(canvas, context);
  draw_footers(canvas, inspection);
  return {canvas.bytes(), std::move(views)};
}

std::string sheet_pdf(const Inspection& inspection, Paper paper) {
  return draw_sheet(SheetContext(inspection), paper).pdf;
}

}  // namespace trammel
