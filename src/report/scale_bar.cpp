#include "trammel/report/scale_bar.hpp"

#include <cmath>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/report/sheet_marks.hpp"

namespace trammel {
namespace {

constexpr double kTick = 3.0;       ///< half of an end's
constexpr double kSmallTick = 2.2;  ///< of a part's, to one side
constexpr double kLeastPart = 3.0;  ///< points from tick to tick

/// How many parts a length of 1, 2 or 5 times a power of ten is divided into.
int parts_of(double length_mm) {
  const double digit = length_mm / std::pow(10.0, std::floor(std::log10(length_mm) + 1e-9));
  return digit > 1.5 && digit < 3.0 ? 4 : 5;
}

}  // namespace

double bar_length_mm(double scale, double least) {
  TRAMMEL_CHECK(scale > 0.0 && least > 0.0, "a bar needs a scale");
  const double least_mm = least / scale;
  const double power = std::pow(10.0, std::floor(std::log10(least_mm)));
  for (const double digit : {1.0, 2.0, 5.0}) {
    if (digit * power >= least_mm) return digit * power;
  }
  return 10.0 * power;
}

double draw_bar(PdfCanvas& canvas, double x, double y, double length) {
  canvas.line(x, y, x + length, y, {kInk, 1.0});
  canvas.line(x, y - kTick, x, y + kTick, {kInk, 1.0});
  canvas.line(x + length, y - kTick, x + length, y + kTick, {kInk, 1.0});
  return x + length;
}

double draw_ruler(PdfCanvas& canvas, double x, double y, double scale, double least) {
  const double length_mm = bar_length_mm(scale, least), length = scale * length_mm;
  const double end = draw_bar(canvas, x, y, length);
  int parts = parts_of(length_mm);
  if (parts == 5 && length / 10.0 >= kLeastPart) parts = 10;
  for (int i = 1; i < parts; ++i) {
    const double at = x + length * i / parts;
    const double tick = 2 * i == parts ? kTick : kSmallTick;
    canvas.line(at, y - tick, at, y, {kInk, 0.6});
  }
  const TextStyle style{kSmallSize, false, kInk};
  const std::string words = shortest(length_mm) + " mm";
  canvas.text(end + 5.0, y + 2.6, words, style);
  return end + 5.0 + canvas.text_width(words, style);
}

}  // namespace trammel
