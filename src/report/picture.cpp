#include "trammel/report/picture.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/corner_deviations.hpp"

namespace trammel {
namespace {

constexpr int kSub = 3;                 ///< samples a pixel's side where anything changes
constexpr int kUnseen = 100;            ///< stands for a step where nothing was read
constexpr int kBackground = 200;        ///< and for no surface at all
constexpr double kCreaseCosine = 0.87;  ///< faces that turn 30° or more have an edge between them
constexpr double kDarkest = 0.80;       ///< light at its least: keeps a step apart from the next
constexpr double kBorderPixels = 1.0;   ///< a depth jump of more than this is an edge

/// What one ray met.
struct Sample {
  int cell = -1;
  int step = kBackground;
  double distance_mm = 0.0;
};

/// A ray of the grid.
struct GridPlace {
  int sx = 0, sy = 0;
};

/// One picture in the making: rays in a grid three times as fine as its pixels.
class Canvas {
 public:
  Canvas(const Inspection& inspection, const SurfaceRays& rays, const Eigen::Matrix3Xd& corners,
         const View& view, const PictureSettings& settings);
  Picture paint();

 private:
  [[nodiscard]] Eigen::Vector3d ray_start(int sx, int sy) const;
  [[nodiscard]] std::vector<Sample> cast(const std::vector<GridPlace>& places) const;
  [[nodiscard]] int step_at(const SurfaceRays::Hit& hit, const Eigen::Vector3d& point) const;
  void cast_pixels();
  void mark_changes();
  void cast_changes();
  [[nodiscard]] const Sample& sample_at(int sx, int sy) const;
  [[nodiscard]] bool differs(const Sample& a, const Sample& b) const;
  [[nodiscard]] bool has_edge(int sx, int sy) const;
  [[nodiscard]] bool edge_between(int ax, int ay, int bx, int by) const;
  [[nodiscard]] Eigen::Array3d shade(int sx, int sy) const;
  [[nodiscard]] double hatching(int sx, int sy) const;
  [[nodiscard]] std::size_t slot(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_) +
           static_cast<std::size_t>(x);
  }

  const Inspection& inspection_;
  const SurfaceRays& rays_;
  const Eigen::Matrix3Xd& corners_;
  const View view_;
  const PictureSettings settings_;
  int width_ = 0, height_ = 0;
  double start_mm_ = 0.0;  ///< rays begin so far along `towards`
  Eigen::Vector3d light_;
  std::vector<Sample> pixels_;
  std::vector<int> fine_;  ///< a pixel: where its nine samples start in `samples_`, or −1
  std::vector<Sample> samples_;
};

Canvas::Canvas(const Inspection& inspection, const SurfaceRays& rays,
               const Eigen::Matrix3Xd& corners, const View& view, const PictureSettings& settings)
    : inspection_(inspection), rays_(rays), corners_(corners), view_(view), settings_(settings) {
  TRAMMEL_CHECK(settings.mm_per_pixel > 0.0, "a picture needs a scale");
  const auto pixels = [&](double mm) {
    return std::max(1, static_cast<int>(std::ceil(mm / settings.mm_per_pixel)));
  };
  width_ = pixels(settings.frame.width());
  height_ = pixels(settings.frame.height());
  const Box box = bounding_box(inspection.surface.cells.vertices_mm);
  start_mm_ = view.towards.dot(box.center_mm()) + box.diagonal_mm();
  light_ = (view.towards + 0.55 * view.up - 0.35 * view.right).normalized();
}

Eigen::Vector3d Canvas::ray_start(int sx, int sy) const {
  const double pitch = settings_.mm_per_pixel / kSub;
  return (settings_.frame.low.x() + pitch * (sx + 0.5)) * view_.right +
         (settings_.frame.high.y() - pitch * (sy + 0.5)) * view_.up + start_mm_ * view_.towards;
}

int Canvas::step_at(const SurfaceRays::Hit& hit, const Eigen::Vector3d& point) const {
  const auto c = static_cast<Eigen::Index>(hit.cell);
  const double u = static_cast<double>(hit.u), v = static_cast<double>(hit.v);
  const double deviation = (1.0 - u - v) * corners_(0, c) + u * corners_(1, c) + v * corners_(2, c);
  if (!std::isfinite(deviation)) return kUnseen;
  return step_of(deviation, band_at(inspection_.plan, point).band);
}

/// What the rays of these places meet, one sample a place.
std::vector<Sample> Canvas::cast(const std::vector<GridPlace>& places) const {
  Eigen::Matrix3Xd starts(3, static_cast<Eigen::Index>(places.size()));
  for (std::size_t i = 0; i < places.size(); ++i)
    starts.col(static_cast<Eigen::Index>(i)) = ray_start(places[i].sx, places[i].sy);
  std::vector<SurfaceRays::Hit> hits;
  rays_.first_hits(starts, -view_.towards, hits);
  std::vector<Sample> samples(places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    const SurfaceRays::Hit& hit = hits[i];
    if (hit.cell < 0) continue;
    const Eigen::Vector3d point =
        starts.col(static_cast<Eigen::Index>(i)) - hit.distance_mm * view_.towards;
    samples[i] = {hit.cell, step_at(hit, point), hit.distance_mm};
  }
  return samples;
}

void Canvas::cast_pixels() {
  pixels_.resize(slot(0, height_));
  for_each_index(
      static_cast<std::size_t>(height_),
      [&](std::size_t row) {
        const int y = static_cast<int>(row);
        std::vector<GridPlace> places;
        for (int x = 0; x < width_; ++x)
          places.push_back({kSub * x + 1, kSub * y + 1});
        const std::vector<Sample> samples = cast(places);
        std::copy(samples.begin(), samples.end(),
                  pixels_.begin() + static_cast<std::ptrdiff_t>(slot(0, y)));
      },
      8);
}

/// True where two samples are not on one smooth face of one colour.
bool Canvas::differs(const Sample& a, const Sample& b) const {
  if (a.step != b.step) return true;
  if (a.cell == b.cell) return false;
  const auto& normal = inspection_.surface.cells.normal;
  if (normal.col(a.cell).dot(normal.col(b.cell)) < kCreaseCosine) return true;
  // One face seen at this slant may fall so far from one pixel to the next, and no more.
  const double cosine = std::max(0.02, std::abs(normal.col(a.cell).dot(view_.towards)));
  return std::abs(a.distance_mm - b.distance_mm) >
         settings_.mm_per_pixel * (kBorderPixels + 1.5 / cosine);
}

void Canvas::mark_changes() {
  std::vector<std::uint8_t> changed(pixels_.size(), 0);
  const auto compare = [&](int x, int y, int nx, int ny) {
    if (nx >= width_ || ny >= height_) return;
    if (!differs(pixels_[slot(x, y)], pixels_[slot(nx, ny)])) return;
    changed[slot(x, y)] = changed[slot(nx, ny)] = 1;
  };
  for (int y = 0; y < height_; ++y) {
    for (int x = 0; x < width_; ++x) {
      compare(x, y, x + 1, y);
      compare(x, y, x, y + 1);
    }
  }
  // Lines reach into the next pixel.
  fine_.assign(pixels_.size(), -1);
  int next = 0;
  for (int y = 0; y < height_; ++y) {
    for (int x = 0; x < width_; ++x) {
      bool near = false;
      for (int ny = std::max(0, y - 1); ny <= std::min(height_ - 1, y + 1); ++ny) {
        for (int nx = std::max(0, x - 1); nx <= std::min(width_ - 1, x + 1); ++nx)
          near = near || changed[slot(nx, ny)] != 0;
      }
      if (near) fine_[slot(x, y)] = kSub * kSub * next++;
    }
  }
  samples_.resize(static_cast<std::size_t>(kSub * kSub * next));
}

void Canvas::cast_changes() {
  for_each_index(
      static_cast<std::size_t>(height_),
      [&](std::size_t row) {
        const int y = static_cast<int>(row);
        std::vector<GridPlace> places;
        int first = -1;  // a row's samples lie in one piece
        for (int x = 0; x < width_; ++x) {
          if (fine_[slot(x, y)] < 0) continue;
          if (first < 0) first = fine_[slot(x, y)];
          for (int k = 0; k < kSub * kSub; ++k)
            places.push_back({kSub * x + k % kSub, kSub * y + k / kSub});
        }
        const std::vector<Sample> samples = cast(places);
        std::copy(samples.begin(), samples.end(), samples_.begin() + std::max(0, first));
      },
      4);
}

const Sample& Canvas::sample_at(int sx, int sy) const {
  const int x = std::clamp(sx / kSub, 0, width_ - 1), y = std::clamp(sy / kSub, 0, height_ - 1);
  const int start = fine_[slot(x, y)];
  if (start < 0) return pixels_[slot(x, y)];
  const int dx = std::clamp(sx - kSub * x, 0, kSub - 1),
            dy = std::clamp(sy - kSub * y, 0, kSub - 1);
  return samples_[static_cast<std::size_t>(start + kSub * dy + dx)];
}

/// An edge of the part runs between two samples: outline, crease, one face before another,
/// or the border of what was seen.
bool Canvas::edge_between(int ax, int ay, int bx, int by) const {
  const Sample &a = sample_at(ax, ay), &b = sample_at(bx, by);
  if (a.cell < 0 || b.cell < 0) return (a.cell < 0) != (b.cell < 0);
  if ((a.step == kUnseen) != (b.step == kUnseen)) return true;
  if (a.cell == b.cell) return false;
  const auto normal_a = inspection_.surface.cells.normal.col(a.cell);
  const auto normal_b = inspection_.surface.cells.normal.col(b.cell);
  if (normal_a.dot(normal_b) < kCreaseCosine) return true;
  const Eigen::Vector3d apart =
      ray_start(ax, ay) - ray_start(bx, by) - (a.distance_mm - b.distance_mm) * view_.towards;
  return std::abs(normal_a.dot(apart)) > kBorderPixels * settings_.mm_per_pixel;
}

bool Canvas::has_edge(int sx, int sy) const {
  const int reach = std::max(1, static_cast<int>(std::lround(0.5 * kSub * settings_.line_pixels)));
  return edge_between(sx - reach, sy, sx, sy) || edge_between(sx, sy, sx + reach, sy) ||
         edge_between(sx, sy - reach, sx, sy) || edge_between(sx, sy, sx, sy + reach);
}

/// 0 between the lines over unseen surface, 1 on a line, smooth across its border.
double Canvas::hatching(int sx, int sy) const {
  const double along = (sx + sy + 1.0) / kSub / std::sqrt(2.0);  // pixels square to the lines
  const double period = settings_.hatch_pixels;
  const double off = std::abs(along - period * std::round(along / period));
  return std::clamp(0.5 * settings_.line_pixels + 0.5 - off, 0.0, 1.0);
}

Eigen::Array3d channels(Rgb colour) {
  return {static_cast<double>(colour.red), static_cast<double>(colour.green),
          static_cast<double>(colour.blue)};
}

Eigen::Array3d Canvas::shade(int sx, int sy) const {
  const Sample& sample = sample_at(sx, sy);
  if (sample.step == kBackground) return channels(kPaper);
  if (sample.step == kUnseen) {
    const double line = hatching(sx, sy);
    return (1.0 - line) * channels(kPaper) + line * channels(kHatch);
  }
  const double lit = std::abs(inspection_.surface.cells.normal.col(sample.cell).dot(light_));
  return (kDarkest + (1.0 - kDarkest) * lit) * channels(colour_of_step(sample.step));
}

Picture Canvas::paint() {
  cast_pixels();
  mark_changes();
  cast_changes();
  Picture picture{width_, height_, std::vector<std::uint8_t>(3 * pixels_.size())};
  for_each_index(
      static_cast<std::size_t>(height_),
      [&](std::size_t row) {
        const int y = static_cast<int>(row);
        for (int x = 0; x < width_; ++x) {
          Eigen::Array3d colour = Eigen::Array3d::Zero();
          if (fine_[slot(x, y)] < 0) {
            colour = shade(kSub * x + 1, kSub * y + 1);
          } else {
            for (int k = 0; k < kSub * kSub; ++k) {
              const int sx = kSub * x + k % kSub, sy = kSub * y + k / kSub;
              colour += has_edge(sx, sy) ? channels(kEdge) : shade(sx, sy);
            }
            colour /= kSub * kSub;
          }
          for (int k = 0; k < 3; ++k) {
            picture.rgb[3 * slot(x, y) + static_cast<std::size_t>(k)] =
                static_cast<std::uint8_t>(std::lround(colour[k]));
          }
        }
      },
      8);
  return picture;
}

}  // namespace

Painter::Painter(const Inspection& inspection) : inspection_(inspection) {
  run_together({[this] { rays_ = rays_of(inspection_.surface.cells); },
                [this] { corners_ = corner_deviations(inspection_.surface); }});
}

Picture Painter::paint(const View& view, const PictureSettings& settings) const {
  return Canvas(inspection_, *rays_, corners_, view, settings).paint();
}

}  // namespace trammel
