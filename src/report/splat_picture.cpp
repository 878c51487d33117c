#include "trammel/report/splat_picture.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

constexpr double kLeastCosine = 0.12;  // a disc seen more obliquely is a line

/// What a pixel holds so far.
struct Pixel {
  double depth = -std::numeric_limits<double>::infinity();
  double off = 0.0;  ///< squared distance to the disc's centre
  Eigen::Index splat = -1;
};

class SplatPainter {
 public:
  SplatPainter(const Splats& splats, const View& view, const PictureSettings& settings)
      : splats_(splats), view_(view), settings_(settings) {
    TRAMMEL_CHECK(settings.mm_per_pixel > 0.0, "a pixel has a size");
    picture_.width =
        std::max(1, static_cast<int>(std::ceil(settings.frame.width() / settings.mm_per_pixel)));
    picture_.height =
        std::max(1, static_cast<int>(std::ceil(settings.frame.height() / settings.mm_per_pixel)));
    pixels_.resize(static_cast<std::size_t>(picture_.width) *
                   static_cast<std::size_t>(picture_.height));
  }

  Picture paint() {
    for (Eigen::Index i = 0; i < splats_.points_mm.cols(); ++i)
      place(i);
    picture_.rgb.reserve(3 * pixels_.size());
    for (int y = 0; y < picture_.height; ++y)
      for (int x = 0; x < picture_.width; ++x) {
        const Rgb colour = colour_at(x, y);
        picture_.rgb.insert(picture_.rgb.end(), {colour.red, colour.green, colour.blue});
      }
    return std::move(picture_);
  }

 private:
  Pixel& at(int x, int y) {
    return pixels_[static_cast<std::size_t>(y) * static_cast<std::size_t>(picture_.width) +
                   static_cast<std::size_t>(x)];
  }

  void place(Eigen::Index i) {
    const Eigen::Vector3d center = splats_.points_mm.col(i), normal = splats_.normals.col(i);
    const double cosine = normal.dot(view_.towards);
    if (std::abs(cosine) < kLeastCosine) return;
    const Eigen::Vector2d flat = project(view_, center);
    const double mm = settings_.mm_per_pixel;
    const double column = (flat.x() - settings_.frame.low.x()) / mm;
    const double row = (settings_.frame.high.y() - flat.y()) / mm;
    const double reach = splats_.radius_mm / mm;
    const double slope_right = -normal.dot(view_.right) / cosine;
    const double slope_up = -normal.dot(view_.up) / cosine;
    const double depth = center.dot(view_.towards), radius2 = splats_.radius_mm * splats_.radius_mm;
    for (int y = first(row - reach); y <= last(row + reach, picture_.height); ++y)
      for (int x = first(column - reach); x <= last(column + reach, picture_.width); ++x) {
        const double right = (x + 0.5 - column) * mm, up = (row - y - 0.5) * mm;
        const double towards = slope_right * right + slope_up * up;
        const double off = right * right + up * up + towards * towards;
        if (off <= radius2) offer(at(x, y), {depth + towards, off, i});
      }
  }

  /// Discs of one surface overlap: of those about as near the closest centre wins.
  void offer(Pixel& held, const Pixel& offered) const {
    const double step = 0.5 * splats_.radius_mm;
    const bool nearer = offered.depth > held.depth + step;
    const bool beside = std::abs(offered.depth - held.depth) <= step && offered.off < held.off;
    if (held.splat < 0 || nearer || beside) held = offered;
  }

  static int first(double at) { return std::max(0, static_cast<int>(std::floor(at))); }
  static int last(double at, int size) {
    return std::min(size - 1, static_cast<int>(std::ceil(at)));
  }

  Rgb colour_at(int x, int y) {
    const Eigen::Index i = at(x, y).splat;
    if (i < 0) return kPaper;
    const auto slot = static_cast<std::size_t>(i);
    const double cosine = std::abs(splats_.normals.col(i).dot(view_.towards));
    const double light = 0.62 + 0.38 * cosine;
    const int step = std::max(4, static_cast<int>(std::lround(settings_.hatch_pixels)));
    const int line = std::max(1, static_cast<int>(std::lround(settings_.line_pixels)));
    if (splats_.fill[slot] == SplatFill::Hatched && (x + y) % step < line) return kHatch;
    if (splats_.fill[slot] == SplatFill::Dotted && x % step < 2 * line && y % step < 2 * line)
      return kSecondInk;
    return darkened(splats_.colours[slot], light);
  }

  const Splats& splats_;
  const View& view_;
  const PictureSettings& settings_;
  Picture picture_;
  std::vector<Pixel> pixels_;
};

}  // namespace

Picture paint_splats(const Splats& splats, const View& view, const PictureSettings& settings) {
  const auto count = static_cast<std::size_t>(splats.points_mm.cols());
  TRAMMEL_CHECK(splats.colours.size() == count && splats.fill.size() == count &&
                    splats.normals.cols() == splats.points_mm.cols(),
                "every splat needs a normal, a colour and a fill");
  return SplatPainter(splats, view, settings).paint();
}

}  // namespace trammel
