#include "trammel/report/view_figure.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

std::string drawn_view(const SheetContext& context, const View& view, bool words) {
  PdfCanvas canvas("t", "");
  canvas.add_page();
  draw_view(canvas, context, view, {{{36, 100}, {378, 420}}, 150.0, 14, words});
  return canvas.bytes();
}

TEST(ViewFigure, CarriesBalloonsForWhatItShowsAndNoneForWhatIsHidden) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  const auto text =
      test::print_of("pdftotext", "", drawn_view(context, view_from({1, -1, 1}), true));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* label : {"1\n", "3\n", "A\n", "B\n", "X\n", "Z\n", "20 mm", "not seen"})
    EXPECT_NE(text->find(label), std::string::npos) << label << " in " << *text;
  EXPECT_EQ(text->find("2\n"), std::string::npos) << "region 2 faces away: " << *text;
}

// A leader ended on the gusset that stood before its hole.
TEST(ViewFigure, LeadersEndWhereTheRimIsSeen) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  int marked = 0;
  for (const View& view : all_views()) {
    const FlatBox outline = outline_of(view, inspection.design.mesh.vertices_mm);
    for (const ViewMark& mark : marks_in(context, view, outline, 14)) {
      for (const Opening& opening : context.openings) {
        if (context.names.holes[opening.index] != mark.label) continue;
        const Eigen::Matrix3Xd ring = ring_points(opening.drawn[facing_side(opening, view)]);
        const std::vector<bool> seen = seen_ring_points(opening, view, context.rays);
        bool on_seen = false;
        for (Eigen::Index i = 0; i < ring.cols(); ++i)
          on_seen = on_seen || (seen[static_cast<std::size_t>(i)] &&
                                (project(view, ring.col(i)) - mark.anchor_mm).norm() < 1e-6);
        EXPECT_TRUE(on_seen) << mark.label << " " << view_title(view);
        ++marked;
      }
    }
  }
  EXPECT_GT(marked, 10);
}

TEST(ViewFigure, PicturesAreAtLeast150DotsAnInch) {
  const Inspection inspection = test::failing_inspection(4.0);
  const SheetContext context(inspection);
  const auto list =
      test::print_of("pdfimages", "-list", drawn_view(context, view_from({1, -1, 1}), false));
  if (!list) GTEST_SKIP() << "pdfimages is not installed";
  // Columns of poppler's list: … x-ppi y-ppi size ratio. One picture, asked for at 150.
  EXPECT_NE(list->find(" 150   150 "), std::string::npos) << *list;
}

}  // namespace
}  // namespace trammel
