#include <algorithm>
#include <cmath>
#include <cstdint>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/balloon_names.hpp"
#include "trammel/report/balloons.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/view_figure.hpp"

namespace trammel {
namespace {

// Units of the drawing, as large as CSS pixels where the page shows it 800 wide.
constexpr double kPictureSide = 600.0;  ///< of the longer side
constexpr double kStillRadius = 13.0, kStillGap = 9.0;
constexpr double kStillLetter =
    8.6;  ///< of bold text of 13, a little more than the usual fonts take
constexpr std::size_t kStillBalloons = 12;  ///< as many as the picture in 3D has

/// Big-endian, as in a PNG's header (IHDR: width at byte 16, height at 20).
double number_at(const std::string& png, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = at; i < at + 4 && i < png.size(); ++i)
    value = (value << 8) | static_cast<unsigned char>(png[i]);
  return std::max(1.0, static_cast<double>(value));
}

std::string attribute(const char* name, double value) {
  return std::string(" ") + name + "=\"" + fixed(value, 1) + "\"";
}

double label_half_width(const std::string& label) {
  return std::max(kStillRadius, 0.5 * kStillLetter * letters_wide(label) + 7.0);
}

/// The bare picture in a drawing that has room for balloons around it.
struct Still {
  FlatBox frame_mm;     ///< of the picture, in the view's plane
  FlatBox inside, all;  ///< of the picture and of the drawing, y downwards
  [[nodiscard]] Eigen::Vector2d at(const Eigen::Vector2d& mm) const {
    const double scale = inside.width() / frame_mm.width();
    return {inside.low.x() + scale * (mm.x() - frame_mm.low.x()),
            inside.low.y() + scale * (frame_mm.high.y() - mm.y())};
  }
};

Still still_of(const FlatBox& outline, const std::string& png, double beside) {
  constexpr double kSparePixels = 2.0;  // that a view's picture has around the outline
  const double wide = number_at(png, 16), tall = number_at(png, 20);
  const double mm_per_pixel = std::max(outline.width() / std::max(1.0, wide - 2.0 * kSparePixels),
                                       outline.height() / std::max(1.0, tall - 2.0 * kSparePixels));
  const Eigen::Vector2d half = 0.5 * mm_per_pixel * Eigen::Vector2d(wide, tall);
  const double scale = kPictureSide / std::max(wide, tall);
  const Eigen::Vector2d size = scale * Eigen::Vector2d(wide, tall);
  const Eigen::Vector2d around(beside, 2.0 * kStillRadius + 2.0 * kStillGap);
  return {{outline.center() - half, outline.center() + half},
          {around, around + size},
          {Eigen::Vector2d::Zero(), 2.0 * around + size}};
}

std::string balloon_svg(const Balloon& balloon, const ViewMark& mark,
                        const Eigen::Vector2d& anchor) {
  const std::string ink = css_colour(mark.colour);
  const Eigen::Vector2d low = balloon.center - Eigen::Vector2d(balloon.half_width, kStillRadius);
  return "<line stroke=\"" + ink + "\"" + attribute("x1", balloon.leader_start.x()) +
         attribute("y1", balloon.leader_start.y()) + attribute("x2", anchor.x()) +
         attribute("y2", anchor.y()) + "/><circle r=\"2.5\" fill=\"" + ink + "\"" +
         attribute("cx", anchor.x()) + attribute("cy", anchor.y()) +
         "/><rect fill=\"#ffffff\" stroke=\"" + ink + "\" stroke-width=\"1.5\" rx=\"13\"" +
         attribute("x", low.x()) + attribute("y", low.y()) +
         attribute("width", 2.0 * balloon.half_width) + attribute("height", 2.0 * kStillRadius) +
         "/><text text-anchor=\"middle\" font-size=\"13\" font-weight=\"bold\" fill=\"" + ink +
         "\"" + attribute("x", balloon.center.x()) + attribute("y", balloon.center.y() + 4.5) +
         ">" + html_escaped(mark.label) + "</text>\n";
}

}  // namespace

std::string still_html(const SheetContext& context, const std::string& png) {
  const View& view = context.views.front();
  const FlatBox outline = outline_of(view, context.inspection.design.mesh.vertices_mm);
  const std::vector<ViewMark> marks = marks_in(context, view, outline, kStillBalloons);
  double beside = 2.0 * kStillGap;
  for (const ViewMark& mark : marks)
    beside = std::max(beside, 2.0 * label_half_width(mark.label) + 2.0 * kStillGap);
  const Still still = still_of(outline, png, beside);
  std::vector<BalloonRequest> requests;
  for (const ViewMark& mark : marks)
    requests.push_back({still.at(mark.anchor_mm), label_half_width(mark.label)});
  const std::vector<Balloon> balloons =
      place_balloons(requests, still.inside, still.all, {kStillRadius, kStillGap});
  std::string html =
      "<svg class=\"still\" id=\"still\" role=\"img\" aria-label=\"The part with its "
      "deviations, " +
      html_escaped(view_title(view)) + "\" viewBox=\"0 0 " + fixed(still.all.width(), 1) + " " +
      fixed(still.all.height(), 1) + "\">\n<image" + attribute("x", still.inside.low.x()) +
      attribute("y", still.inside.low.y()) + attribute("width", still.inside.width()) +
      attribute("height", still.inside.height()) + " href=\"data:image/png;base64," + base64(png) +
      "\"/>\n";
  for (std::size_t i = 0; i < marks.size(); ++i)
    if (balloons[i].placed) html += balloon_svg(balloons[i], marks[i], requests[i].anchor);
  return html + "</svg>";
}

}  // namespace trammel
