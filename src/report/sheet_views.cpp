#include <algorithm>

#include "trammel/report/legend_figure.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/view_figure.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kPageLegendHeight = 58.0;
constexpr double kGutter = 14.0;
constexpr std::size_t kColumns = 2;

void draw_strip(PdfCanvas& canvas, const SheetContext& context, double y) {
  draw_rule(canvas, y);
  draw_heading(canvas, kMargin, y + 14.0, "Colours, in mm");
  const bool zones = !context.inspection.plan.zones.empty();
  canvas.text(text_right(canvas), y + 14.0,
              zones ? "multiples of the plan's band; in a zone, of the zone's own"
                    : "steps at 1, 1.5 and 2 times the band; the part's axes as arrows",
              {kSmallSize, false, kSecondInk, Anchor::End});
  draw_legend_strip(canvas, context, kMargin, y + 22.0, full_width(canvas));
}

}  // namespace

std::vector<Picture> draw_view_pages(PdfCanvas& canvas, const SheetContext& context) {
  canvas.add_page();
  canvas.bookmark("All sides", 0.0);
  const double top = draw_page_head(canvas, context) + 8.0;
  const double bottom = text_bottom(canvas) - kPageLegendHeight;
  const std::size_t rows = (context.views.size() + kColumns - 1) / kColumns;
  const double width = (full_width(canvas) - kGutter) / kColumns;
  const double height = (bottom - top - 6.0) / static_cast<double>(rows);
  std::vector<Picture> pictures;
  for (std::size_t i = 0; i < context.views.size(); ++i) {
    const double x = kMargin + static_cast<double>(i % kColumns) * (width + kGutter);
    const auto row = i / kColumns;
    const double y = top + static_cast<double>(row) * height;
    draw_heading(canvas, x, y + 12.0, "Seen " + view_title(context.views[i]));
    pictures.push_back(
        draw_view(canvas, context, context.views[i],
                  {{{x, y + 18.0}, {x + width, y + height - 10.0}}, 160.0, 14, false}));
  }
  draw_strip(canvas, context, bottom);
  return pictures;
}

}  // namespace trammel
