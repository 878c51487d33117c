#include "trammel/report/close_ups.hpp"

#include <algorithm>
#include <deque>

#include "trammel/base/numbers.hpp"
#include "trammel/report/close_view.hpp"
#include "trammel/report/scale_bar.hpp"
#include "trammel/report/section.hpp"
#include "trammel/report/section_figure.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostUndecided = 4;
constexpr double kRowHeight = 164.0;     ///< four of them on a page of either paper
constexpr double kHeadingRoom = 15.0;    ///< as over a section
constexpr double kPictureWidth = 190.0;  ///< the section has the rest
constexpr double kGutter = 14.0;
constexpr double kDotsPerInch = 150.0;
constexpr double kRulerLength = 44.0;  ///< at least
constexpr double kHatchPoints = 5.0, kLinePoints = 0.55;

/// Those that failed, or, where none did, those that are undecided.
std::vector<const Region*> bad_regions(const SheetContext& context) {
  const auto& regions = context.inspection.verdict.regions;
  std::vector<const Region*> bad;
  for (const Outcome outcome : {Outcome::Fail, Outcome::Undecided}) {
    for (const Finding& finding : context.found) {
      if (finding.subject != Subject::Region) continue;
      if (finding.outcome == outcome) bad.push_back(&regions[finding.index]);
    }
    if (!bad.empty()) return bad;
  }
  return bad;
}

/// Pictures are the dear part: regions of one face that show it whole share one.
class Pictures {
 public:
  explicit Pictures(const Painter& painter) : painter_(painter) {}
  const Picture& of(const CloseView& close, double width_points);

 private:
  struct Painted {
    Eigen::Vector3d towards;
    FlatBox frame;
    Picture picture;
  };
  const Painter& painter_;
  std::deque<Painted> painted_;  // what was handed out stays where it is
};

const Picture& Pictures::of(const CloseView& close, double width_points) {
  for (const Painted& one : painted_) {
    if (one.towards == close.view.towards && one.frame.low == close.frame.low &&
        one.frame.high == close.frame.high) {
      return one.picture;
    }
  }
  const double pixels_per_point = kDotsPerInch / 72.0;
  PictureSettings settings;
  settings.frame = close.frame;
  settings.mm_per_pixel = close.frame.width() / (width_points * pixels_per_point);
  settings.hatch_pixels = kHatchPoints * pixels_per_point;
  settings.line_pixels = kLinePoints * pixels_per_point;
  painted_.push_back({close.view.towards, close.frame, painter_.paint(close.view, settings)});
  return painted_.back().picture;
}

/// In the corner that lies farthest from the place, so that it covers least of it.
void draw_close_balloon(PdfCanvas& canvas, const std::string& label, const Eigen::Vector2d& place,
                        const FlatBox& frame) {
  const double half = balloon_half_width(canvas, label), inset = 6.0;
  const double x =
      place.x() > frame.center().x() ? frame.low.x() + inset + half : frame.high.x() - inset - half;
  const double y = frame.low.y() + inset + kBalloonRadius;
  canvas.line(x, y, place.x(), place.y(), {kInk, 0.8});
  canvas.fill_circle(place.x(), place.y(), 1.6, kInk);
  draw_balloon(canvas, x, y, label, kInk);
}

/// The ruler on a strip of paper, so that it reads on any colour.
void draw_close_ruler(PdfCanvas& canvas, double scale, const FlatBox& frame) {
  const double x = frame.low.x() + 8.0, y = frame.high.y() - 9.0;
  const double words = canvas.text_width("0000 mm", {kSmallSize, false, kInk});
  canvas.fill_rectangle(frame.low.x() + 0.5, y - 6.5,
                        13.0 + scale * bar_length_mm(scale, kRulerLength) + words, 15.0, kPaper);
  draw_ruler(canvas, x, y, scale, kRulerLength);
}

void draw_close_up(PdfCanvas& canvas, const SheetContext& context, Pictures& pictures,
                   const Region& region, const FlatBox& box) {
  const FlatBox frame{{box.low.x(), box.low.y() + kHeadingRoom}, box.high};
  const std::string id = std::to_string(region.id);
  const auto close =
      close_view(context.inspection, region, context.rays, frame.height() / frame.width());
  if (!close) {
    draw_heading(canvas, box.low.x(), box.low.y() + 7.0, "Place " + id);
    draw_lines(canvas, frame.low.x(), frame.low.y() + 12.0, "No view from outside shows it.",
               {kBodySize, false, kSecondInk}, frame.width(), 2, 11.4);
    return;
  }
  draw_heading(canvas, box.low.x(), box.low.y() + 7.0,
               "Place " + id + " from near, " + view_title(close->view));
  canvas.picture(pictures.of(*close, frame.width()), frame.low.x(), frame.low.y(), frame.width(),
                 frame.height());
  const double scale = frame.width() / close->frame.width();
  const Eigen::Vector2d off = scale * (close->anchor - close->frame.center());
  draw_close_balloon(canvas, id, {frame.center().x() + off.x(), frame.center().y() - off.y()},
                     frame);
  draw_close_ruler(canvas, scale, frame);
  canvas.rectangle(frame.low.x(), frame.low.y(), frame.width(), frame.height(), {kRule, 0.7});
}

void draw_row(PdfCanvas& canvas, const SheetContext& context, Pictures& pictures,
              const Region& region, double top) {
  const double bottom = top + kRowHeight - 12.0;
  const double middle = kMargin + kPictureWidth;
  draw_close_up(canvas, context, pictures, region, {{kMargin, top}, {middle, bottom}});
  const auto section = section_through(context.inspection, context.painter.corners(), region);
  const FlatBox right{{middle + kGutter, top}, {text_right(canvas), bottom}};
  if (section) {
    draw_section(canvas, context, *section, region, right);
    return;
  }
  draw_heading(canvas, right.low.x(), top + 7.0, "No section meets it");
}

}  // namespace

std::vector<const Region*> regions_close_up(const SheetContext& context) {
  std::vector<const Region*> regions = bad_regions(context);
  const bool failed = !regions.empty() && regions.front()->outcome == Outcome::Fail;
  regions.resize(std::min(regions.size(), failed ? kMostCloseUps : kMostUndecided));
  return regions;
}

void draw_close_ups(SheetFlow& flow, const SheetContext& context) {
  const std::vector<const Region*> regions = regions_close_up(context);
  if (regions.empty()) return;
  flow.heading("From near, and cut open", kRowHeight);

  Pictures pictures(context.painter);
  for (const Region* region : regions) {
    flow.figure(kRowHeight, [&](PdfCanvas& canvas, double top) {
      draw_row(canvas, context, pictures, *region, top);
    });
  }
  const std::size_t more = bad_regions(context).size() - regions.size();
  if (more > 0) {
    flow.paragraph("And " + counted(more, "more place", "more places") +
                   ", in the table; sheet.html shows each of them from near.");
  }
}

}  // namespace trammel
