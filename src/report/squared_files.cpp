#include "trammel/report/squared_files.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>
#include <vector>

#include "json_text.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/splat_picture.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

using SquareJson = nlohmann::ordered_json;

double degrees(double rad) {
  return rad / kDegree;
}

/// Of a plane that was not found there is no residual and no error: null.
SquareJson plane_json(const FoundPlane& plane) {
  const auto known = [&](double value) {
    return plane.found ? json_number(value) : SquareJson(nullptr);
  };
  return {{"found", plane.found},
          {"from", plane.from},
          {"normal", json_vector(plane.normal)},
          {"offset", plane.offset_mm},
          {"share", plane.share},
          {"rival", plane.rival},
          {"rms", known(plane.rms_mm)},
          {"standard_error_deg", known(degrees(plane.standard_error_rad))},
          {"doubt", plane.doubt}};
}

std::string error_words(double rad) {
  return "±" + fixed(degrees(rad), 4) + "° (1 σ)";
}

std::string plane_words(const FoundPlane& plane) {
  if (!plane.found) return "not known: " + plane.doubt;
  return plane.from + ", " + percent_words(plane.share) + " of the surface, residual " +
         fixed(plane.rms_mm, 3) + " mm, " + error_words(plane.standard_error_rad);
}

std::vector<std::pair<std::string, std::string>> square_facts(const Squared& s) {
  std::string forward = s.forward_from;
  if (s.forward_error_rad > 0.0) forward += ", " + error_words(s.forward_error_rad);
  return {{"Up (Z)", plane_words(s.level)},
          {"Symmetry (Y)", plane_words(s.symmetry)},
          {"Forward (X)", forward.empty() ? "not known" : forward},
          {"Origin", s.origin_from.empty() ? "as scanned" : s.origin_from}};
}

struct SquareView {
  View view;
  std::string words;
};

void draw_square_view(PdfCanvas& canvas, const Squared& s, const SquareView& shown,
                      const FlatBox& room) {
  draw_heading(canvas, room.low.x(), room.low.y(), shown.words);
  Splats splats;
  splats.points_mm = s.sample_mm;
  splats.normals = s.sample_normals;
  const auto count = static_cast<std::size_t>(s.sample_mm.cols());
  splats.colours.assign(count, colour_of_step(0));
  splats.fill.assign(count, SplatFill::Plain);
  FlatBox outline = outline_of(shown.view, s.sample_mm);
  splats.radius_mm = std::max(1e-9, 0.012 * bounding_box(s.sample_mm).diagonal_mm());
  outline.low.array() -= splats.radius_mm;
  outline.high.array() += splats.radius_mm;
  const double top = room.low.y() + 8.0, height = room.high.y() - top;
  const double scale = std::min(room.width() / outline.width(), height / outline.height());
  PictureSettings settings;
  settings.frame = outline;
  settings.mm_per_pixel = 72.0 / (150.0 * scale);
  const Eigen::Vector2d corner(room.center().x() - 0.5 * scale * outline.width(),
                               top + 0.5 * (height - scale * outline.height()));
  canvas.picture(paint_splats(splats, shown.view, settings), corner.x(), corner.y(),
                 scale * outline.width(), scale * outline.height());
  const auto on_page = [&](const Eigen::Vector3d& p) {
    const Eigen::Vector2d flat = project(shown.view, p);
    return Eigen::Vector2d(corner.x() + scale * (flat.x() - outline.low.x()),
                           corner.y() + scale * (outline.high.y() - flat.y()));
  };
  const double length = 0.3 * bounding_box(s.sample_mm).diagonal_mm();
  const Eigen::Vector2d origin = on_page(Eigen::Vector3d::Zero());
  for (int axis = 0; axis < 3; ++axis) {
    const Eigen::Vector2d tip = on_page(length * Eigen::Vector3d::Unit(axis));
    if ((tip - origin).norm() < 4.0) continue;
    canvas.line(origin.x(), origin.y(), tip.x(), tip.y(), {kInk, 1.2});
    const Eigen::Vector2d at = tip + 8.0 * (tip - origin).normalized();
    canvas.text(at.x(), at.y() + 2.8, std::string(1, "XYZ"[axis]),
                {9.0, true, kInk, Anchor::Middle});
  }
  canvas.fill_circle(origin.x(), origin.y(), 2.2, kInk);
}

}  // namespace

std::string squared_json(const Squared& s) {
  SquareJson result;
  result["schema"] = 1;
  result["version"] = s.run.version;
  result["certain"] = s.certain;
  result["scan"] = {{"file", s.file}, {"sha256", s.sha256}, {"unit_scale", s.units.mm_per_unit}};
  result["scan_to_square"] = json_matrix(s.T_square_scan);
  result["level"] = plane_json(s.level);
  result["symmetry"] = plane_json(s.symmetry);
  const bool known = s.forward_error_rad > 0.0;
  result["forward"] = {{"from", s.forward_from},
                       {"standard_error_deg",
                        known ? SquareJson(degrees(s.forward_error_rad)) : SquareJson(nullptr)}};
  result["origin"] = s.origin_from;
  result["notes"] = s.notes;
  return json_text(result);
}

std::string squared_pdf(const Squared& s, Paper paper) {
  PdfCanvas canvas(s.file + " set square", s.run.date, paper);
  canvas.add_page();
  draw_verdict_mark(canvas, s.certain ? Outcome::Pass : Outcome::Undecided, 60.0, 62.0, 25.0);
  canvas.text(96.0, 58.0, s.certain ? "Square" : "Undecided",
              {26.0, true, verdict_colour(s.certain ? Outcome::Pass : Outcome::Undecided)});
  canvas.text(96.0, 76.0, shortened(canvas, printable(s.file), {10.0, false, kInk}, 300.0),
              {10.0, false, kInk});
  canvas.text(text_right(canvas), 58.0, date_words(s.run.date),
              {8.5, false, kSecondInk, Anchor::End});
  canvas.line(kMargin, 96.0, text_right(canvas), 96.0, {kInk, 1.0});
  // Pictures give way on a shorter page, so that there is as much room for words.
  const double facts = canvas.size().height - 214.0, first_end = 0.5 * (facts + 72.0);
  if (s.sample_mm.cols() > 0) {
    const double middle = 0.5 * (kMargin + text_right(canvas));
    draw_square_view(canvas, s, {view_from({0, -1, 0}), "From the right, X to the right"},
                     {{kMargin, 116.0}, {text_right(canvas), first_end}});
    draw_square_view(canvas, s, {view_from({0, 0, 1}), "From above"},
                     {{kMargin, first_end + 22.0}, {middle - 8.0, facts - 28.0}});
    draw_square_view(canvas, s, {view_from({1, 0, 0}), "From the front"},
                     {{middle + 8.0, first_end + 22.0}, {text_right(canvas), facts - 28.0}});
  }
  double y = facts;
  draw_rule(canvas, y - 14.0);
  for (const auto& [name, words] : square_facts(s)) {
    canvas.text(kMargin, y, name, {kBodySize, false, kSecondInk});
    y = draw_lines(canvas, kMargin + 80.0, y, words, {kBodySize, false, kInk},
                   full_width(canvas) - 80.0, 3, 11.2) +
        2.0;
  }
  for (const std::string& note : s.notes)
    y = draw_lines(canvas, kMargin, y + 4.0, printable(note), {kBodySize, false, kSecondInk},
                   full_width(canvas), 3, 11.2);
  canvas.text(kMargin, footer_y(canvas),
              "trammel " + printable(s.run.version) + " · scan " + s.sha256.substr(0, 12),
              {kSmallSize, false, kSecondInk});
  return canvas.bytes();
}

std::string squared_summary(const Squared& s, const std::filesystem::path& folder) {
  std::string text =
      std::string(s.certain ? "SQUARE" : "UNDECIDED") + "  " + printable(s.file) + "\n";
  for (const auto& [name, words] : square_facts(s))
    text += "  " + name + ": " + words + "\n";
  for (const std::string& note : s.notes)
    text += "  Note: " + printable(note) + "\n";
  return text + "  Written: " + printable(folder.string()) + "\n";
}

}  // namespace trammel
