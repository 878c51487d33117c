#include "trammel/report/close_ups.hpp"

#include <algorithm>
#include <array>
#include <optional>

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
constexpr double kRowHeight = 154.0;     ///< four of them on a page of either paper
constexpr double kRowGap = 12.0;         ///< below each
constexpr double kHeadingRoom = 15.0;    ///< as over a section
constexpr std::size_t kMostInOne = 2;    ///< regions to a picture; their sections share the rest
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

/// One picture and what it shows: a region, or two of one face that are seen alike.
struct CloseRow {
  std::vector<const Region*> regions;
  std::optional<CloseView> close;        ///< of the first; nothing where no view shows it
  std::vector<Eigen::Vector2d> anchors;  ///< on the view's plane, mm, one a region
};

bool is_alike(const CloseView& a, const CloseView& b) {
  return a.view.towards == b.view.towards && a.frame.low == b.frame.low &&
         a.frame.high == b.frame.high;
}

/// In the order of the regions; one whose view is that of an earlier row with room joins it.
std::vector<CloseRow> rows_of(const SheetContext& context,
                              const std::vector<const Region*>& regions) {
  constexpr double kShape = (kRowHeight - kRowGap - kHeadingRoom) / kPictureWidth;
  std::vector<CloseRow> rows;
  for (const Region* region : regions) {
    const auto close = close_view(context.inspection, *region, context.rays, kShape);
    const auto joins = [&](const CloseRow& row) {
      return close && row.close && row.regions.size() < kMostInOne && is_alike(*close, *row.close);
    };
    auto row = std::find_if(rows.begin(), rows.end(), joins);
    if (row == rows.end()) row = rows.insert(rows.end(), CloseRow{{}, close, {}});
    row->regions.push_back(region);
    if (close) row->anchors.push_back(close->anchor);
  }
  return rows;
}

Picture paint_close(const Painter& painter, const CloseView& close) {
  const double pixels_per_point = kDotsPerInch / 72.0;
  PictureSettings settings;
  settings.frame = close.frame;
  settings.mm_per_pixel = close.frame.width() / (kPictureWidth * pixels_per_point);
  settings.hatch_pixels = kHatchPoints * pixels_per_point;
  settings.line_pixels = kLinePoints * pixels_per_point;
  return painter.paint(close.view, settings);
}

/// True when the straight leaders from a to b and from c to d cross.
bool do_cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c,
              const Eigen::Vector2d& d) {
  const auto side = [](const Eigen::Vector2d& p, const Eigen::Vector2d& q,
                       const Eigen::Vector2d& r) {
    return (q.x() - p.x()) * (r.y() - p.y()) - (q.y() - p.y()) * (r.x() - p.x());
  };
  return side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
}

/// Balloons in the corners that lie far from all places, so that they cover least of them; of those
/// far enough, the ones with the shortest leaders. The ruler has the lower left corner.
/// @param places  on the page, one or two
std::vector<Eigen::Vector2d> balloon_corners(const std::vector<Eigen::Vector2d>& places,
                                             double half, const FlatBox& frame) {
  constexpr double kInset = 6.0, kFarEnough = 30.0;
  const double left = frame.low.x() + kInset + half, right = frame.high.x() - kInset - half;
  const double top = frame.low.y() + kInset + kBalloonRadius;
  const std::array<Eigen::Vector2d, 3> corners = {
      Eigen::Vector2d(left, top), {right, top}, {right, frame.high.y() - kInset - kBalloonRadius}};
  if (places.size() == 1) {
    const bool to_the_left = places[0].x() > frame.center().x();
    return {to_the_left ? corners[0] : corners[1]};
  }
  std::vector<Eigen::Vector2d> best = {corners[0], corners[1]};
  double most = -1e9;
  for (const Eigen::Vector2d& a : corners) {
    for (const Eigen::Vector2d& b : corners) {
      if (a == b || do_cross(a, places[0], b, places[1])) continue;
      double nearest = kFarEnough;
      for (const Eigen::Vector2d& place : places)
        nearest = std::min({nearest, (a - place).norm(), (b - place).norm()});
      const double leaders = (a - places[0]).norm() + (b - places[1]).norm();
      const double score = nearest - 0.01 * leaders;
      if (score <= most) continue;
      most = score;
      best = {a, b};
    }
  }
  return best;
}

void draw_close_balloons(PdfCanvas& canvas, const CloseRow& row, const FlatBox& frame) {
  const double scale = frame.width() / row.close->frame.width();
  std::vector<Eigen::Vector2d> places;
  double half = 0.0;
  for (std::size_t i = 0; i < row.regions.size(); ++i) {
    const Eigen::Vector2d off = scale * (row.anchors[i] - row.close->frame.center());
    places.emplace_back(frame.center().x() + off.x(), frame.center().y() - off.y());
    half = std::max(half, balloon_half_width(canvas, std::to_string(row.regions[i]->id)));
  }
  const std::vector<Eigen::Vector2d> corners = balloon_corners(places, half, frame);
  for (std::size_t i = 0; i < places.size(); ++i) {
    canvas.line(corners[i].x(), corners[i].y(), places[i].x(), places[i].y(), {kInk, 0.8});
    canvas.fill_circle(places[i].x(), places[i].y(), 1.6, kInk);
  }
  for (std::size_t i = 0; i < places.size(); ++i)
    draw_balloon(canvas, corners[i].x(), corners[i].y(), std::to_string(row.regions[i]->id), kInk);
}

/// The ruler on a strip of paper, so that it reads on any colour.
void draw_close_ruler(PdfCanvas& canvas, double scale, const FlatBox& frame) {
  const double x = frame.low.x() + 8.0, y = frame.high.y() - 9.0;
  const double words = canvas.text_width("0000 mm", {kSmallSize, false, kInk});
  canvas.fill_rectangle(frame.low.x() + 0.5, y - 6.5,
                        13.0 + scale * bar_length_mm(scale, kRulerLength) + words, 15.0, kPaper);
  draw_ruler(canvas, x, y, scale, kRulerLength);
}

/// "Place 1", "Places 3, 5".
std::string places_words(const CloseRow& row) {
  std::string words = row.regions.size() == 1 ? "Place " : "Places ";
  for (const Region* region : row.regions)
    words += (region == row.regions.front() ? "" : ", ") + std::to_string(region->id);
  return words;
}

void draw_close_up(PdfCanvas& canvas, const SheetContext& context, const CloseRow& row,
                   const FlatBox& box) {
  const FlatBox frame{{box.low.x(), box.low.y() + kHeadingRoom}, box.high};
  if (!row.close) {
    draw_heading(canvas, box.low.x(), box.low.y() + 7.0, places_words(row));
    draw_lines(canvas, frame.low.x(), frame.low.y() + 12.0, "No view from outside shows it.",
               {kBodySize, false, kSecondInk}, frame.width(), 2, 11.4);
    return;
  }
  const std::string heading = places_words(row) + " from near, " + view_title(row.close->view);
  draw_heading(
      canvas, box.low.x(), box.low.y() + 7.0,
      shortened(canvas, heading, {kHeadingSize, true, kInk}, kPictureWidth + kGutter - 4.0));
  canvas.picture(paint_close(context.painter, *row.close), frame.low.x(), frame.low.y(),
                 frame.width(), frame.height());
  draw_close_balloons(canvas, row, frame);
  draw_close_ruler(canvas, frame.width() / row.close->frame.width(), frame);
  canvas.rectangle(frame.low.x(), frame.low.y(), frame.width(), frame.height(), {kRule, 0.7});
}

void draw_row(PdfCanvas& canvas, const SheetContext& context, const CloseRow& row, double top) {
  const double bottom = top + kRowHeight - kRowGap;
  double left = kMargin + kPictureWidth;
  draw_close_up(canvas, context, row, {{kMargin, top}, {left, bottom}});
  const auto count = static_cast<double>(row.regions.size());
  const double width = (text_right(canvas) - left) / count - kGutter;
  for (const Region* region : row.regions) {
    left += kGutter;
    const auto section = section_through(context.inspection, context.painter.corners(), *region);
    if (section) {
      draw_section(canvas, context, *section, *region, {{left, top}, {left + width, bottom}});
    } else {
      draw_heading(
          canvas, left, top + 7.0,
          "No section meets " + (count > 1.0 ? std::to_string(region->id) : std::string("it")));
    }
    left += width;
  }
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
  for (const CloseRow& row : rows_of(context, regions)) {
    flow.figure(kRowHeight,
                [&](PdfCanvas& canvas, double top) { draw_row(canvas, context, row, top); });
  }
  const std::size_t more = bad_regions(context).size() - regions.size();
  if (more > 0) {
    flow.paragraph("And " + counted(more, "more place", "more places") +
                   ": sheet.html shows each of them from near.");
  }
}

}  // namespace trammel
