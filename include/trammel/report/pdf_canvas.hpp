#pragma once

/// Pages to draw on (libharu), A4 or Letter. Points (1/72 inch), origin top left, y downwards.

#include <Eigen/Core>
#include <memory>
#include <string>
#include <vector>

#include "trammel/report/colours.hpp"
#include "trammel/report/paper.hpp"
#include "trammel/report/picture.hpp"

namespace trammel {

enum class Anchor { Start, Middle, End };

struct TextStyle {
  double size = 8.2;
  bool bold = false;
  Rgb colour = kInk;
  Anchor anchor = Anchor::Start;
};

struct Stroke {
  Rgb colour = kInk;
  double width = 0.8;
};

/// Throws Error Internal when libharu refuses something, Output when the font is missing.
class PdfCanvas {
 public:
  /// @param title     of the document
  /// @param iso_date  "2026-11-25", the only date in the file; anything else leaves it out
  PdfCanvas(const std::string& title, const std::string& iso_date, Paper paper = Paper::A4);
  ~PdfCanvas();
  PdfCanvas(const PdfCanvas&) = delete;
  PdfCanvas& operator=(const PdfCanvas&) = delete;

  /// Of every page, points.
  [[nodiscard]] PaperSize size() const;

  /// Adds a page and draws on it from now on.
  void add_page();
  [[nodiscard]] std::size_t page_count() const;
  /// An entry of the document's table of contents that leads to this height of the present page.
  void bookmark(const std::string& words, double y);
  /// Goes back to an earlier page, counted from 0.
  void select_page(std::size_t index);

  /// UTF-8; what the font lacks becomes U+FFFD.
  /// @param baseline_y  of the letters
  void text(double x, double baseline_y, const std::string& words, const TextStyle& style = {});
  [[nodiscard]] double text_width(const std::string& words, const TextStyle& style) const;

  void line(double x0, double y0, double x1, double y1, const Stroke& stroke = {});
  void polyline(const std::vector<Eigen::Vector2d>& points, bool closed, const Stroke& stroke = {});
  void fill(const std::vector<Eigen::Vector2d>& corners, Rgb colour);
  void fill_rectangle(double x, double y, double width, double height, Rgb colour);
  void rectangle(double x, double y, double width, double height, const Stroke& stroke);
  void fill_circle(double x, double y, double radius, Rgb colour);
  void circle(double x, double y, double radius, const Stroke& stroke);
  void picture(const Picture& picture, double x, double y, double width, double height);

  /// The finished file; nothing can be drawn afterwards.
  [[nodiscard]] std::string bytes();

 private:
  struct Document;
  std::unique_ptr<Document> document_;
};

/// Words broken into lines of at most `width` points; words that are too long alone are cut. What
/// does not fit in `most_lines` ends in an ellipsis. Never empty.
[[nodiscard]] std::vector<std::string> wrapped(const PdfCanvas& canvas, const std::string& words,
                                               const TextStyle& style, double width,
                                               std::size_t most_lines);

/// One line, its middle left out where it is longer than `width`: names differ at their ends.
[[nodiscard]] std::string shortened_name(const PdfCanvas& canvas, const std::string& name,
                                         const TextStyle& style, double width);

/// One line, cut with an ellipsis where it is longer than `width`.
[[nodiscard]] std::string shortened(const PdfCanvas& canvas, const std::string& words,
                                    const TextStyle& style, double width);

}  // namespace trammel
