#include "trammel/report/view_figure.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/report/balloons.hpp"
#include "trammel/report/scale_bar.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/view_choice.hpp"

namespace trammel {
namespace {

constexpr double kGap = 7.0;         ///< balloons to outline
constexpr double kAxesStrip = 50.0;  ///< under the picture
constexpr double kArrow = 17.0;      ///< length of an axis that lies square to the view
constexpr double kHatchPoints = 5.0;
constexpr double kLinePoints = 0.55;
constexpr double kLeastHoleShare = 0.5;
constexpr double kHiddenCosine = 0.15;

/// From mm in the view's plane to the page.
struct Placement {
  Eigen::Vector2d middle_mm, middle;  ///< the same place in both
  double scale = 1.0;                 ///< points a mm
  [[nodiscard]] Eigen::Vector2d on_page(const Eigen::Vector2d& flat_mm) const {
    const Eigen::Vector2d off = scale * (flat_mm - middle_mm);
    return {middle.x() + off.x(), middle.y() - off.y()};
  }
};

/// The point of an opening's rim that lies farthest out of what is seen of it, where a leader
/// covers least and points at nothing that stands before the opening.
Eigen::Vector2d outer_rim_point(const SheetContext& context, const Opening& opening,
                                const View& view, const FlatBox& outline) {
  const Eigen::Matrix3Xd ring = ring_points(opening.drawn[facing_side(opening, view)]);
  const std::vector<bool> seen = seen_ring_points(opening, view, context.rays);
  Eigen::Vector2d farthest = project(view, ring.col(0));
  double most = -1.0;
  for (Eigen::Index i = 0; i < ring.cols(); ++i) {
    const Eigen::Vector2d point = project(view, ring.col(i));
    const double out = (point - outline.center()).norm();
    if (!seen[static_cast<std::size_t>(i)] || out <= most) continue;
    farthest = point;
    most = out;
  }
  return farthest;
}

bool shows(const SheetContext& context, const Opening& opening, const View& view) {
  return std::abs(opening.drawn[0].axis.dot(view.towards)) >= kHiddenCosine &&
         visible_share(opening, view, context.rays) >= kLeastHoleShare;
}

void add_finding(const SheetContext& context, const Finding& finding, const View& view,
                 const FlatBox& outline, std::vector<ViewMark>& marks) {
  if (!has_place(finding)) return;
  const Rgb colour = balloon_colour(is_opening(finding), finding.outcome);
  if (is_opening(finding)) {
    const Opening& opening = context.openings[opening_at(context.inspection.verdict, finding)];
    if (shows(context, opening, view))
      marks.push_back(
          {context.balloon(finding), colour, outer_rim_point(context, opening, view, outline)});
    return;
  }
  if (!context.is_on_paper(finding.index)) return;
  const Region& region = context.inspection.verdict.regions[finding.index];
  const auto anchor = region_anchor(context.inspection, region, view, context.rays);
  if (anchor) marks.push_back({context.balloon(finding), colour, project(view, *anchor)});
}

/// The largest scale at which the outline fits with balloons beside it, or above and below it.
Placement fit(const FlatBox& outline, const FlatBox& room, double column, double row) {
  const double height = room.height() - kAxesStrip;
  const auto scale_with = [&](double beside, double above) {
    return std::min((room.width() - 2.0 * beside) / std::max(outline.width(), 1e-6),
                    (height - 2.0 * above) / std::max(outline.height(), 1e-6));
  };
  Placement placement;
  placement.scale = std::max(scale_with(column, 2.0), scale_with(2.0, row));
  placement.middle_mm = outline.center();
  placement.middle = {room.center().x(), room.low.y() + 0.5 * height};
  return placement;
}

Picture draw_picture(PdfCanvas& canvas, const SheetContext& context, const View& view,
                     const FlatBox& outline, const Placement& placement, double dots_per_inch) {
  const double pixels_per_point = dots_per_inch / 72.0;
  PictureSettings settings;
  settings.mm_per_pixel = 1.0 / (placement.scale * pixels_per_point);
  settings.hatch_pixels = kHatchPoints * pixels_per_point;
  settings.line_pixels = kLinePoints * pixels_per_point;
  const Eigen::Vector2d spare = Eigen::Vector2d::Constant(2.0 * settings.mm_per_pixel);
  settings.frame = {outline.low - spare, outline.high + spare};
  Picture picture = context.painter.paint(view, settings);
  const Eigen::Vector2d corner =
      placement.on_page({settings.frame.low.x(), settings.frame.high.y()});
  canvas.picture(picture, corner.x(), corner.y(), picture.width / pixels_per_point,
                 picture.height / pixels_per_point);
  return picture;
}

void draw_ring(PdfCanvas& canvas, const Eigen::Matrix3Xd& ring, const View& view,
               const Placement& placement, const Stroke& stroke) {
  std::vector<Eigen::Vector2d> points;
  for (Eigen::Index i = 0; i < ring.cols(); ++i)
    points.push_back(placement.on_page(project(view, ring.col(i))));
  canvas.polyline(points, true, stroke);
}

/// Where an opening should be in thin grey; where it is, in its colour.
void draw_rings(PdfCanvas& canvas, const SheetContext& context, const View& view,
                const Placement& placement) {
  for (const Opening& opening : context.openings) {
    if (!shows(context, opening, view)) continue;
    const std::size_t side = facing_side(opening, view);
    draw_ring(canvas, ring_points(opening.drawn[side]), view, placement, {kSecondInk, 0.7});
    if (opening.outcome == Outcome::Pass) continue;
    draw_ring(canvas, ring_points(opening.found[side]), view, placement,
              {balloon_colour(true, opening.outcome), 1.3});
  }
}

void draw_balloons(PdfCanvas& canvas, const std::vector<ViewMark>& marks, const FlatBox& outline,
                   const FlatBox& room, const Placement& placement) {
  std::vector<BalloonRequest> requests;
  for (const ViewMark& mark : marks) {
    requests.push_back({placement.on_page(mark.anchor_mm), balloon_half_width(canvas, mark.label)});
  }
  const Eigen::Vector2d a = placement.on_page(outline.low), b = placement.on_page(outline.high);
  const FlatBox on_page{a.cwiseMin(b), a.cwiseMax(b)};
  const FlatBox balloon_room{room.low, {room.high.x(), room.high.y() - kAxesStrip}};
  const std::vector<Balloon> balloons =
      place_balloons(requests, on_page, balloon_room, {kBalloonRadius, kGap});
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!balloons[i].placed) continue;
    const Eigen::Vector2d &start = balloons[i].leader_start, &end = requests[i].anchor;
    canvas.line(start.x(), start.y(), end.x(), end.y(), {marks[i].colour, 0.8});
    canvas.fill_circle(end.x(), end.y(), 1.6, marks[i].colour);
    draw_balloon(canvas, balloons[i].center.x(), balloons[i].center.y(), marks[i].label,
                 marks[i].colour);
  }
}

/// The part's axes as lines from one origin; axes that look the same share a label.
void draw_axes(PdfCanvas& canvas, const View& view, const Eigen::Vector2d& origin,
               double length_pt) {
  constexpr std::array<const char*, 3> kNames = {"X", "Y", "Z"};
  std::vector<std::pair<Eigen::Vector2d, std::string>> labels;
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    const Eigen::Vector2d flat = project(view, Eigen::Vector3d::Unit(axis));
    if (flat.norm() < 0.1) continue;  // points at the viewer
    const Eigen::Vector2d way(flat.x(), -flat.y());
    const Eigen::Vector2d tip = origin + length_pt * way, label = tip + 6.0 * way.normalized();
    const char* name = kNames[static_cast<std::size_t>(axis)];
    canvas.line(origin.x(), origin.y(), tip.x(), tip.y(), {kInk, 0.9});
    canvas.fill_circle(tip.x(), tip.y(), 1.2, kInk);
    const auto same = std::find_if(labels.begin(), labels.end(), [&](const auto& earlier) {
      return (earlier.first - label).norm() < 5.0;
    });
    if (same == labels.end()) {
      labels.emplace_back(label, name);
    } else {
      same->second += std::string(" ") + name;
    }
  }
  for (const auto& [at, words] : labels)
    canvas.text(at.x(), at.y() + 2.5, words, {kSmallSize, true, kInk, Anchor::Middle});
}

bool has_unseen(const Inspection& inspection) {
  return inspection.verdict.coverage.seen_fraction < 1.0;
}

/// A swatch of the hatching, as the picture draws it.
void draw_hatch_swatch(PdfCanvas& canvas, double x, double y, double size) {
  for (double at = 0.25; at < 1.0; at += 0.25) {
    canvas.line(x, y + size * at, x + size * at, y, {kHatch, 0.6});
    canvas.line(x + size * at, y + size, x + size, y + size * at, {kHatch, 0.6});
  }
  canvas.line(x, y + size, x + size, y, {kHatch, 0.6});
  canvas.rectangle(x, y, size, size, {kHatch, 0.5});
}

/// Room that the cross of axes takes to the left of, above, right of and below its middle.
FlatBox axes_room(const View& view) {
  FlatBox room;
  for (int axis = 0; axis < 3; ++axis) {
    const Eigen::Vector2d flat = project(view, Eigen::Vector3d::Unit(axis));
    const Eigen::Vector2d tip = (kArrow + 9.0) * Eigen::Vector2d(flat.x(), -flat.y());
    room.low = room.low.cwiseMin(tip);
    room.high = room.high.cwiseMax(tip);
  }
  return room;
}

/// A bar, and how long it is, in words as many as fit before `right`; returns the x after it.
double draw_view_bar(PdfCanvas& canvas, double x, double y, double scale, const ViewFigure& figure,
                     double right) {
  const double length_mm = bar_length_mm(scale, figure.words ? 46.0 : 26.0);
  const double length = length_mm * scale;
  draw_bar(canvas, x, y, length);
  const TextStyle style{kSmallSize, false, kSecondInk};
  std::string words = shortest(length_mm) + " mm";
  const std::string more = words + ", square to the view";
  if (figure.words && x + length + 6.0 + canvas.text_width(more, style) <= right) words = more;
  canvas.text(x + length + 6.0, y + 2.6, words, style);
  return x + length + 6.0 + canvas.text_width(words, style);
}

/// Under the picture: the part's axes, a scale, and what hatching means.
void draw_scale(PdfCanvas& canvas, const SheetContext& context, const View& view,
                const ViewFigure& figure, double scale) {
  const FlatBox axes = axes_room(view);
  const Eigen::Vector2d origin(figure.room.low.x() + 3.0 - axes.low.x(),
                               figure.room.high.y() - axes.high.y());
  draw_axes(canvas, view, origin, kArrow);
  const double y = figure.room.high.y() - 6.0;
  const TextStyle style{kSmallSize, false, kSecondInk};
  const char* const unseen = "not seen by the scan";
  const bool tells_unseen = figure.words && has_unseen(context.inspection);
  const double for_unseen = tells_unseen ? 16.0 + 13.0 + canvas.text_width(unseen, style) : 0.0;
  const double after = 16.0 + draw_view_bar(canvas, origin.x() + axes.high.x() + 10.0, y, scale,
                                            figure, figure.room.high.x() - for_unseen);
  if (!tells_unseen) return;
  draw_hatch_swatch(canvas, after, y - 4.5, 9.0);
  canvas.text(after + 13.0, y + 2.6, unseen, style);
}

}  // namespace

std::vector<ViewMark> marks_in(const SheetContext& context, const View& view,
                               const FlatBox& outline, std::size_t most) {
  std::vector<ViewMark> marks;
  for (const Finding& finding : context.found) {
    if (marks.size() < most) add_finding(context, finding, view, outline, marks);
  }
  for (const Opening& opening : context.openings) {
    if (opening.outcome != Outcome::Pass || marks.size() >= most) continue;
    add_finding(context, finding_as_planned(context.inspection, opening.subject, opening.index),
                view, outline, marks);
  }
  return marks;
}

Picture draw_view(PdfCanvas& canvas, const SheetContext& context, const View& view,
                  const ViewFigure& figure) {
  const FlatBox outline = outline_of(view, context.inspection.design.mesh.vertices_mm);
  const std::vector<ViewMark> marks = marks_in(context, view, outline, figure.most_balloons);
  double column = 4.0;
  const double row = marks.empty() ? 4.0 : 2.0 * kBalloonRadius + kGap + 1.0;
  for (const ViewMark& mark : marks)
    column = std::max(column, 2.0 * balloon_half_width(canvas, mark.label) + kGap + 1.0);
  const Placement placement = fit(outline, figure.room, column, row);
  Picture picture = draw_picture(canvas, context, view, outline, placement, figure.dots_per_inch);
  draw_rings(canvas, context, view, placement);
  draw_balloons(canvas, marks, outline, figure.room, placement);
  draw_scale(canvas, context, view, figure, placement.scale);
  return picture;
}

}  // namespace trammel
