#include "trammel/geometry/measure_hole.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "reweighted_fit.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/random.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "wall_limits.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double deg_from_rad(double radians) {
  return radians / kDegree;
}

// All as shares of the design's radius: the hole may be half its diameter off place.
constexpr double kMostOffset = 1.0;
constexpr double kLeastRadius = 0.5;
constexpr double kMostRadius = 1.6;
constexpr double kBeyondEnds = 0.25;   // of the depth: the sheet may lie a little proud or shy
constexpr int kTries = 2000;           // random pairs
constexpr double kWidestGap_deg = 20;  // between neighbours round the wall: a wider one is unseen
constexpr double kMostForm = 0.08;     // highest less lowest stretch of wall, over the radius
constexpr double kMostOval = 0.25;     // the same where all of it was seen: its middle is known
constexpr double kAllRound_deg = 330.0;
constexpr double kBeyondChance = 4.0;  // standard errors of the medians of two stretches
constexpr int kBins = 18;              // of 20°, opposite ones pair up

/// Candidate wall points, and the same in the plane across the design's axis (from its centre).
struct WallPoints {
  Matrix3Xd points;
  Eigen::Matrix2Xd flat, inward;  ///< `inward` unit: the normals seen along the axis, a pin's
                                  ///< turned round
  [[nodiscard]] Eigen::Index size() const { return points.cols(); }
};

struct Circle {
  Vector2d center;
  double radius;
};

bool could_be_wall(const DesignHole& hole, const Vector3d& arm, const Vector3d& normal) {
  const double level = hole.axis.dot(arm);
  const double slack = kBeyondEnds * hole.depth_mm();
  if (!(level >= hole.low_mm - slack && level <= hole.high_mm + slack)) return false;
  const double farthest = (kMostOffset + kMostRadius) * hole.radius_mm;
  if (!((arm - level * hole.axis).squaredNorm() <= farthest * farthest)) return false;
  return std::abs(hole.axis.dot(normal)) <= wall_limits::kMostLean;
}

WallPoints wall_points(const Matrix3Xd& points, const Matrix3Xd& normals, const DesignHole& hole,
                       double coating_mm) {
  std::vector<Eigen::Index> chosen;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    if (could_be_wall(hole, points.col(i) - hole.center_mm, normals.col(i))) chosen.push_back(i);
  const auto [u, v] = across(hole.axis);
  WallPoints wall;
  const auto count = static_cast<Eigen::Index>(chosen.size());
  wall.points.resize(3, count);
  wall.flat.resize(2, count);
  wall.inward.resize(2, count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Vector3d normal = normals.col(chosen[static_cast<std::size_t>(i)]);
    wall.points.col(i) = points.col(chosen[static_cast<std::size_t>(i)]) - coating_mm * normal;
    const Vector3d arm = wall.points.col(i) - hole.center_mm;
    wall.flat.col(i) << arm.dot(u), arm.dot(v);
    const Vector2d seen_along(normal.dot(u), normal.dot(v));
    wall.inward.col(i) = (hole.kind == RoundKind::Pin ? -1.0 : 1.0) * seen_along.normalized();
  }
  return wall;
}

/// The circle whose centre is where the normals of two wall points cross.
std::optional<Circle> circle_through(const WallPoints& wall, Eigen::Index i, Eigen::Index j) {
  Eigen::Matrix2d sides;
  sides << wall.inward.col(i), -wall.inward.col(j);
  if (std::abs(sides.determinant()) < 0.2) return std::nullopt;
  const Vector2d lengths = sides.inverse() * (wall.flat.col(j) - wall.flat.col(i));
  if (lengths.minCoeff() <= 0.0) return std::nullopt;
  return Circle{wall.flat.col(i) + lengths[0] * wall.inward.col(i), lengths.mean()};
}

bool is_possible(const Circle& circle, double design_radius) {
  return circle.center.norm() <= kMostOffset * design_radius &&
         circle.radius >= kLeastRadius * design_radius &&
         circle.radius <= kMostRadius * design_radius;
}

/// On the circle within the tolerance and looking at its centre.
bool holds(const Circle& circle, const WallPoints& wall, Eigen::Index i, double tolerance) {
  const Vector2d in = circle.center - wall.flat.col(i);
  const double length = in.norm();
  return std::abs(length - circle.radius) <= tolerance &&
         in.dot(wall.inward.col(i)) >= wall_limits::kLeastFacing * length;
}

/// The circle that most wall points lie on and look into (RANSAC; Fischler & Bolles 1981).
std::optional<Circle> likeliest_circle(const WallPoints& wall, const DesignHole& hole, Rng rng) {
  const double tolerance = 0.06 * hole.radius_mm;  // normals a few degrees off aim this far off
  const auto count = static_cast<std::size_t>(wall.size());
  // Counting on a spread of the points is enough to rank the circles.
  const Eigen::Index stride = std::max<Eigen::Index>(1, wall.size() / 500);
  std::optional<Circle> best;
  int most = 0;
  for (int attempt = 0; attempt < kTries && count >= 2; ++attempt) {
    const auto i = static_cast<Eigen::Index>(rng.index(count));
    const auto j = static_cast<Eigen::Index>(rng.index(count));
    const auto circle = circle_through(wall, i, j);
    if (!circle || !is_possible(*circle, hole.radius_mm)) continue;
    int held = 0;
    for (Eigen::Index k = 0; k < wall.size(); k += stride)
      held += holds(*circle, wall, k, tolerance) ? 1 : 0;
    if (held > most) {
      most = held;
      best = circle;
    }
  }
  return best;
}

using RobustFit = reweighted::Robust<CylinderFit>;

/// Cylinder through the points near the start; a free axis where the wall is long enough to hold it
/// and it leans beyond doubt, else the design's.
std::optional<RobustFit> best_fit(const WallPoints& wall, const DesignHole& hole,
                                  const Circle& start) {
  const auto [u, v] = across(hole.axis);
  const Cylinder cylinder{hole.center_mm + start.center.x() * u + start.center.y() * v, hole.axis,
                          start.radius};
  const auto distances = [&, u = u, v = v](const Cylinder& from) {
    const Vector3d arm = from.center_mm - hole.center_mm;
    const Circle circle{{arm.dot(u), arm.dot(v)}, from.radius_mm};
    VectorXd out = VectorXd::Constant(wall.size(), std::numeric_limits<double>::quiet_NaN());
    for (Eigen::Index i = 0; i < wall.size(); ++i)
      if (holds(circle, wall, i, wall_limits::kNear * circle.radius))
        out[i] = distance_to(from, wall.points.col(i));
    return out;
  };
  return reweighted::fit_with_surest_axis(wall.points, cylinder, 0.0, distances);
}

double angle_about(const Cylinder& cylinder, const Vector3d& point) {
  const auto [u, v] = across(cylinder.axis);
  const Vector3d arm = point - cylinder.center_mm;
  return deg_from_rad(std::atan2(arm.dot(v), arm.dot(u))) + 180.0;
}

/// 360° less every gap between neighbouring wall points that is too wide to have been seen.
double seen_cover_deg(const WallPoints& wall, const RobustFit& fitted) {
  std::vector<double> angles;
  for (Eigen::Index i = 0; i < wall.size(); ++i)
    if (fitted.weights[i] > 0.0)
      angles.push_back(angle_about(fitted.fit.cylinder, wall.points.col(i)));
  if (angles.empty()) return 0.0;
  std::sort(angles.begin(), angles.end());
  angles.push_back(angles.front() + 360.0);
  double cover = 360.0;
  for (std::size_t i = 1; i < angles.size(); ++i) {
    const double gap = angles[i] - angles[i - 1];
    if (gap > kWidestGap_deg) cover -= gap;
  }
  return cover;
}

/// A stretch of 20° of the wall: how far it stands out of the circle, the median (noise averaged
/// out), and its standard error. NaN where fewer than five points lie.
struct Stretch {
  double out_mm = std::numeric_limits<double>::quiet_NaN(), error_mm = out_mm;
};

std::vector<Stretch> form_around(const WallPoints& wall, const RobustFit& fitted) {
  std::vector<std::vector<double>> bins(kBins);
  for (Eigen::Index i = 0; i < wall.size(); ++i) {
    if (fitted.weights[i] <= 0.0) continue;
    const double turn = angle_about(fitted.fit.cylinder, wall.points.col(i)) / 360.0;
    const auto bin = static_cast<std::size_t>(std::clamp(turn * kBins, 0.0, kBins - 1.0));
    bins[bin].push_back(distance_to(fitted.fit.cylinder, wall.points.col(i)));
  }
  std::vector<Stretch> form(kBins);
  for (std::size_t b = 0; b < bins.size(); ++b) {
    if (bins[b].size() < 5) continue;
    form[b].out_mm = median_of(bins[b]);
    // Of a median: √(π / 2) of a mean's.
    form[b].error_mm =
        1.2533 * robust_sigma(bins[b]) / std::sqrt(static_cast<double>(bins[b].size()));
  }
  return form;
}

/// Widths between opposite stretches of wall; the diameter where no two were seen.
void note_widths(MeasuredHole& result, const std::vector<Stretch>& form) {
  result.narrowest_mm = result.least_size_mm = result.greatest_size_mm = result.diameter_mm;
  for (std::size_t b = 0; b < kBins / 2; ++b) {
    const Stretch &here = form[b], &across = form[b + kBins / 2];
    const double differs = here.out_mm + across.out_mm, width = result.diameter_mm + differs;
    if (width < result.narrowest_mm) result.narrowest_mm = width;  // false for NaN
    if (!(std::abs(differs) > kBeyondChance * std::hypot(here.error_mm, across.error_mm))) continue;
    result.least_size_mm = std::min(result.least_size_mm, width);
    result.greatest_size_mm = std::max(result.greatest_size_mm, width);
  }
}

/// Highest less lowest stretch.
double range_of(const std::vector<Stretch>& form) {
  double low = 0.0, high = 0.0;
  for (const Stretch& stretch : form) {
    if (stretch.out_mm < low) low = stretch.out_mm;
    if (stretch.out_mm > high) high = stretch.out_mm;
  }
  return high - low;
}

/// The form less its part that goes round twice (cos 2φ and sin 2φ): what is left of an ellipse is
/// next to nothing.
std::vector<Stretch> without_oval(std::vector<Stretch> form) {
  const auto angle = [](std::size_t b) {
    return 4.0 * kPi * (static_cast<double>(b) + 0.5) / kBins;
  };
  double by_cos = 0.0, by_sin = 0.0;
  for (std::size_t b = 0; b < form.size(); ++b) {
    if (std::isnan(form[b].out_mm)) continue;
    by_cos += 2.0 / kBins * std::cos(angle(b)) * form[b].out_mm;
    by_sin += 2.0 / kBins * std::sin(angle(b)) * form[b].out_mm;
  }
  for (std::size_t b = 0; b < form.size(); ++b)
    form[b].out_mm -= by_cos * std::cos(angle(b)) + by_sin * std::sin(angle(b));
  return form;
}

bool is_round(const std::vector<Stretch>& form, const RobustFit& fitted, double cover_deg) {
  const double radius_mm = fitted.fit.cylinder.radius_mm, range_mm = range_of(form);
  const bool is_oval = cover_deg >= kAllRound_deg && range_mm <= kMostOval * radius_mm &&
                       range_of(without_oval(form)) <= kMostForm * radius_mm;
  return (range_mm <= kMostForm * radius_mm || is_oval) &&
         static_cast<double>(fitted.on_wall()) >=
             wall_limits::kLeastOnWall * static_cast<double>(fitted.near_wall);
}

MeasuredHole not_measured(HoleStatus status, std::string reason) {
  MeasuredHole result;
  result.status = status;
  result.reason = std::move(reason);
  return result;
}

/// Where the measured axis crosses the plane at `level_mm` along the design's axis, from that axis.
Vector3d offset_at(const Cylinder& cylinder, const DesignHole& hole, double level_mm) {
  const Vector3d arm = cylinder.center_mm - (hole.center_mm + level_mm * hole.axis);
  return arm - hole.axis.dot(arm) / hole.axis.dot(cylinder.axis) * cylinder.axis;
}

MeasuredHole measured(const RobustFit& fitted, const std::vector<Stretch>& form,
                      const DesignHole& hole) {
  const Cylinder& cylinder = fitted.fit.cylinder;
  MeasuredHole result;
  result.status = HoleStatus::Measured;
  result.axis = cylinder.axis;
  result.offset_mm = offset_at(cylinder, hole, 0.5 * (hole.low_mm + hole.high_mm));
  result.center_mm = hole.middle_mm() + result.offset_mm;
  result.worst_offset_mm = std::max(offset_at(cylinder, hole, hole.low_mm).norm(),
                                    offset_at(cylinder, hole, hole.high_mm).norm());
  result.diameter_mm = 2.0 * cylinder.radius_mm;
  note_widths(result, form);
  result.center_error_mm = fitted.fit.center_error_mm;
  result.diameter_error_mm = 2.0 * fitted.fit.radius_error_mm;
  result.rms_mm = fitted.fit.rms_mm;
  result.points = static_cast<int>(fitted.on_wall());
  result.tilted = fitted.fit.tilt_error_rad > 0.0;
  return result;
}

}  // namespace

MeasuredHole measure_hole(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                          const DesignHole& hole, const MeasureHoleSettings& settings) {
  const WallPoints wall = wall_points(points_mm, normals, hole, settings.coating_mm);
  if (wall.size() == 0) return not_measured(HoleStatus::Unseen, "its wall was not seen");
  const auto few = [&](Eigen::Index count) {
    return not_measured(HoleStatus::TooFewPoints,
                        "only " + std::to_string(count) + " points lie on its wall, " +
                            std::to_string(settings.least_points) + " are needed");
  };
  if (wall.size() < settings.least_points) return few(wall.size());
  const auto start = likeliest_circle(wall, hole, Rng(settings.seed));
  if (!start) {
    return not_measured(HoleStatus::NoCircle, "no circle of about its size was seen at its place");
  }
  const auto fitted = best_fit(wall, hole, *start);
  const std::string not_round = "what was seen of its wall is not round";
  if (!fitted) return not_measured(HoleStatus::NoCircle, not_round);
  const std::vector<Stretch> form = form_around(wall, *fitted);
  const double cover_deg = seen_cover_deg(wall, *fitted);
  if (!is_round(form, *fitted, cover_deg)) return not_measured(HoleStatus::NoCircle, not_round);
  MeasuredHole result = measured(*fitted, form, hole);
  result.cover_deg = cover_deg;
  if (result.points < settings.least_points) return few(result.points);
  if (result.cover_deg < settings.least_cover_deg) {
    return not_measured(HoleStatus::Unseen,
                        "only " + fixed(result.cover_deg, 0) + "° of its wall were seen, " +
                            fixed(settings.least_cover_deg, 0) + "° are needed");
  }
  return result;
}

}  // namespace trammel
