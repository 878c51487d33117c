#include "trammel/judge/closed_opening.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kBeyondEnds = 0.25;  // of the depth
constexpr double kMiddle = 0.85;      // of the radius: what is nearer to the wall may be its edge
constexpr double kLeastMiddle = 0.3;  // of the radius: where noise leaves less, nothing is known
constexpr double kStub = 0.5;         // of a pin's length: what stands higher is a short pin
constexpr double kInside = 0.9;  // of the radius: feet on the rim, 8 facets or more, lie beyond
constexpr double kAlongAxis = 0.7071;  // cosine
constexpr double kClosedShare = 0.6;
constexpr std::size_t kFewestAcross = 10;
/// What lies nearer to an end is level with it (as judge/surface_out_of_place.hpp has it).
constexpr double kLevel_mm = 0.25, kNoiseSigmas = 4.0;
constexpr int kMostSquares = 12;  // along the grid across an opening
/// The face about a mouth lies between so many radii of the middle line.
constexpr double kFaceFrom = 1.05, kFaceTo = 1.5;
/// Sides of a square in spacings: points that lie anywhere are 0.47/√density from the nearest in
/// the median, so that such a square holds 2.7 of them and is empty in 7 % of places.
constexpr double kSquare = 3.5;
/// Every half of the middle holds so much of what closes it: half a lid on few squares is none.
constexpr double kLeastHalf = 0.1;
constexpr int kHalves = 16;
/// A quarter of what closes a round hole lies within half of the middle's radius, more of a slot's;
/// of the face about a hole made too small, nothing does.
constexpr double kCore = 0.5, kLeastInCore = 0.08;
/// Of the nearest four that look the same way three lie level with a point of a surface; with a
/// stray, one time in twelve.
constexpr int kNearestAcross = 4, kLevelAcross = 3;
constexpr double kSlopeAcross = 0.3, kSameWayAcross = 0.5;

double from_middle_line(const SlotShape& shape, const Vector3d& point) {
  return arm_from_middle_line(shape.half_straight_mm, shape.flat(point)).norm();
}

/// Read on a surface of the design that lies inside the opening, not on its rim; of a pin, on that
/// surface and not far from it.
bool is_drawn_inside(const Opening& opening, const Deviations& deviations, double level_mm,
                     Index point) {
  const Reading reading = deviations.reading[static_cast<std::size_t>(point)];
  if (reading != Reading::Measured && reading != Reading::Inside) return false;
  if (opening.kind == RoundKind::Pin && std::abs(deviations.signed_mm[point]) > level_mm)
    return false;
  return from_middle_line(opening.shape, deviations.foot_mm.col(point)) <
         kInside * opening.shape.radius_mm;
}

/// Points in a box about the opening.
std::vector<Index> near_points(const Opening& opening, double margin_mm, const Matrix3Xd& points) {
  const SlotShape& shape = opening.shape;
  Eigen::Array3d low = shape.center_mm.array(), high = low;
  for (const double level : {opening.low_mm, opening.high_mm}) {
    for (const double side : {-1.0, 1.0}) {
      const Vector3d at =
          shape.center_mm + level * shape.axis + side * shape.half_straight_mm * shape.along;
      low = low.min(at.array());
      high = high.max(at.array());
    }
  }
  low -= margin_mm;
  high += margin_mm;
  std::vector<Index> chosen;
  for (Index i = 0; i < points.cols(); ++i) {
    const auto p = points.col(i).array();
    if ((p >= low).all() && (p <= high).all()) chosen.push_back(i);
  }
  return chosen;
}

/// How far from the middle line a point is sure not to be of the wall.
double middle_mm(const Opening& opening, double noise_mm) {
  const double radius_mm = opening.shape.radius_mm;
  return std::min(kMiddle * radius_mm, radius_mm - kNoiseSigmas * noise_mm);
}

/// Looks out of the pin's free end, whichever that is, from its lower half.
bool lies_under_pin(const Opening& opening, double facing, double level) {
  const double half = opening.low_mm + kStub * (opening.high_mm - opening.low_mm);
  return facing > 0.0 ? level < half : level > half;
}

/// Level with one of the drawn ends, looking out of it: 1 at the high one, −1 at the low one.
int end_at(const Opening& opening, const Vector3d& point, const Vector3d& normal, double level_mm) {
  const SlotShape& shape = opening.shape;
  const double facing = shape.axis.dot(normal), level = shape.axis.dot(point - shape.center_mm);
  const double end = facing > 0.0 ? opening.high_mm : opening.low_mm;
  if (std::abs(facing) < kAlongAxis || std::abs(level - end) > level_mm) return 0;
  return facing > 0.0 ? 1 : -1;
}

bool end_was_seen(const Opening& opening, const PointsAround& near, double level_mm) {
  std::size_t points = 0;
  for (Index i = 0; i < near.points_mm.cols(); ++i) {
    const Vector3d point = near.points_mm.col(i);
    points += end_at(opening, point, near.normals.col(i), level_mm) != 0 &&
                      from_middle_line(opening.shape, point) <= opening.shape.radius_mm
                  ? 1U
                  : 0U;
  }
  return points >= kFewestAcross;
}

/// Of which mouths a surface level with them is known to look out where it seems to.
struct Mouths {
  bool low = true, high = true;
};

/// Where normals were estimated, a bench behind the hole was given the way of the design's face
/// that lies on it; a skin over a mouth goes on in the scanned face about it.
Mouths mouths_with_face(const Opening& opening, const PointsAround& near, double level_mm) {
  std::size_t low = 0, high = 0;
  for (Index i = 0; i < near.points_mm.cols(); ++i) {
    const Vector3d point = near.points_mm.col(i);
    const double radii = from_middle_line(opening.shape, point) / opening.shape.radius_mm;
    if (radii < kFaceFrom || radii > kFaceTo) continue;
    const int end = end_at(opening, point, near.normals.col(i), level_mm);
    high += end > 0 ? 1U : 0U;
    low += end < 0 ? 1U : 0U;
  }
  const bool low_seen = low >= kFewestAcross, high_seen = high >= kFewestAcross;
  return {low_seen || !high_seen, high_seen || !low_seen};
}

/// Looks along the axis, and is neither a floor that is drawn nor a bench at the end.
bool closes(const Opening& opening, const Mouths& mouths, const Vector3d& point,
            const Vector3d& normal, double level_mm) {
  const SlotShape& shape = opening.shape;
  const double facing = shape.axis.dot(normal), level = shape.axis.dot(point - shape.center_mm);
  if (std::abs(facing) < kAlongAxis) return false;
  if (level > opening.high_mm + level_mm || level < opening.low_mm - level_mm) return false;
  if (opening.kind == RoundKind::Pin) return lies_under_pin(opening, facing, level);
  if (level > opening.high_mm - level_mm) return facing > 0.0 && mouths.high;
  return level >= opening.low_mm + level_mm || (facing < 0.0 && mouths.low);
}

/// Squares of a grid over the opening's middle, along and across.
struct Grid {
  double reach_mm, half_length_mm;
  int across, along;
  Grid(const SlotShape& shape, double reach, double spacing_mm)
      : reach_mm(reach),
        half_length_mm(reach_mm + shape.half_straight_mm),
        across(
            std::clamp(static_cast<int>(2.0 * reach_mm / (kSquare * spacing_mm)), 3, kMostSquares)),
        along(static_cast<int>(std::lround(across * half_length_mm / reach_mm))) {}
  [[nodiscard]] std::size_t square_of(const Vector2d& flat) const {
    const auto slot = [](double share, int squares) {
      return std::clamp(static_cast<int>(0.5 * (share + 1.0) * squares), 0, squares - 1);
    };
    return static_cast<std::size_t>(slot(flat.x() / half_length_mm, along) * across +
                                    slot(flat.y() / reach_mm, across));
  }
  /// Most of it lies over the middle.
  [[nodiscard]] bool counts(const SlotShape& shape, int i, int k) const {
    const Vector2d middle(((2.0 * i + 1.0) / along - 1.0) * half_length_mm,
                          ((2.0 * k + 1.0) / across - 1.0) * reach_mm);
    return arm_from_middle_line(shape.half_straight_mm, middle).norm() <=
           reach_mm * (1.0 - 0.5 / across);
  }
};

/// Points over the middle that close the opening, each alone.
std::vector<Index> closing_points(const Opening& opening, const Mouths& mouths,
                                  const PointsAround& near, const std::vector<std::uint8_t>& drawn,
                                  double level_mm, double reach_mm) {
  std::vector<Index> out;
  for (Index i = 0; i < near.points_mm.cols(); ++i) {
    if (drawn[static_cast<std::size_t>(i)] == 0 &&
        from_middle_line(opening.shape, near.points_mm.col(i)) <= reach_mm &&
        closes(opening, mouths, near.points_mm.col(i), near.normals.col(i), level_mm))
      out.push_back(i);
  }
  return out;
}

/// Those of a surface: strays in a deep opening lie over all of it as well, at every height.
Matrix3Xd level_ones(const PointsAround& near, const std::vector<Index>& closing, double level_mm) {
  const Matrix3Xd points = near.points_mm(Eigen::all, closing),
                  normals = near.normals(Eigen::all, closing);
  const PointIndex index(points);
  std::vector<Index> kept;
  for (Index i = 0; i < points.cols(); ++i) {
    int asked = 0, level = 0;
    for (const Neighbour& other : index.nearest(points.col(i), 4 * kNearestAcross)) {
      const Vector3d both = normals.col(i) + normals.col(other.index);
      if (other.index == static_cast<int>(i) ||
          normals.col(i).dot(normals.col(other.index)) <= kSameWayAcross)
        continue;
      if (++asked > kNearestAcross) break;
      const double step_mm =
          std::abs(both.normalized().dot(points.col(other.index) - points.col(i)));
      if (step_mm <= std::max(level_mm, kSlopeAcross * other.distance_mm)) ++level;
    }
    if (level >= kLevelAcross) kept.push_back(i);
  }
  return points(Eigen::all, kept);
}

/// However the middle is halved, either half holds some of the points.
bool lie_all_about(const SlotShape& shape, const Matrix3Xd& points) {
  for (int k = 0; k < kHalves; ++k) {
    const double turn = 2.0 * kPi * k / kHalves;
    const Vector2d way(std::cos(turn), std::sin(turn));
    double held = 0.0;
    for (Index i = 0; i < points.cols(); ++i)
      held += way.dot(shape.flat(points.col(i))) > 0.0 ? 1.0 : 0.0;
    if (held < kLeastHalf * static_cast<double>(points.cols())) return false;
  }
  return true;
}

/// Some lie far from the edge of the middle. On few squares each that touches the edge is held by a
/// face that goes on a little beyond it.
bool reach_the_core(const SlotShape& shape, const Matrix3Xd& points, double reach_mm) {
  double held = 0.0;
  for (Index i = 0; i < points.cols(); ++i)
    held += from_middle_line(shape, points.col(i)) <= kCore * reach_mm ? 1.0 : 0.0;
  return held >= std::max(1.0, kLeastInCore * static_cast<double>(points.cols()));
}

/// Share of the squares that a closing point lies in.
double closed_share(const Opening& opening, const PointsAround& near,
                    const std::vector<std::uint8_t>& drawn, double level_mm,
                    const OpeningEvidence& e) {
  const SlotShape& shape = opening.shape;
  const double reach_mm = middle_mm(opening, e.noise_mm);
  if (reach_mm < kLeastMiddle * shape.radius_mm) return 0.0;
  if (opening.kind == RoundKind::Pin && end_was_seen(opening, near, level_mm)) return 0.0;
  const Mouths mouths = e.normals_estimated ? mouths_with_face(opening, near, level_mm) : Mouths{};
  const std::vector<Index> closing =
      closing_points(opening, mouths, near, drawn, level_mm, reach_mm);
  if (closing.size() < kFewestAcross) return 0.0;
  const Matrix3Xd points = level_ones(near, closing, level_mm);
  if (points.cols() < Index(kFewestAcross) || !lie_all_about(shape, points) ||
      !reach_the_core(shape, points, reach_mm))
    return 0.0;
  const Grid grid(shape, reach_mm, e.spacing_mm);
  std::vector<std::uint8_t> hit(static_cast<std::size_t>(grid.along * grid.across), 0);
  for (Index i = 0; i < points.cols(); ++i)
    hit[grid.square_of(shape.flat(points.col(i)))] = 1;
  int all = 0, held = 0;
  for (int i = 0; i < grid.along; ++i) {
    for (int k = 0; k < grid.across; ++k) {
      if (!grid.counts(shape, i, k)) continue;
      ++all;
      held += hit[static_cast<std::size_t>(i * grid.across + k)];
    }
  }
  return static_cast<double>(held) / all;
}

double level_of(const OpeningEvidence& e) {
  return std::max(kLevel_mm, kNoiseSigmas * e.noise_mm);
}

double margin_mm(const Opening& opening, double reach_mm, const OpeningEvidence& e) {
  return reach_mm + kBeyondEnds * (opening.high_mm - opening.low_mm) + level_of(e) + e.coating_mm;
}

std::vector<std::uint8_t> drawn_inside(const Opening& opening, const std::vector<Index>& points,
                                       const OpeningEvidence& e) {
  std::vector<std::uint8_t> out;
  for (const Index i : points)
    out.push_back(is_drawn_inside(opening, e.deviations, level_of(e), i) ? 1 : 0);
  return out;
}

}  // namespace

Opening opening_of(const DesignHole& hole) {
  return {{hole.center_mm, hole.axis, across(hole.axis).u, 0.0, hole.radius_mm},
          hole.low_mm,
          hole.high_mm,
          hole.kind};
}

PointsAround points_around(const Opening& opening, double reach_mm, const OpeningEvidence& e) {
  const double level_mm = level_of(e);
  const std::vector<Index> chosen =
      near_points(opening, margin_mm(opening, reach_mm, e), e.points_mm);
  PointsAround out{e.points_mm(Eigen::all, chosen), e.normals(Eigen::all, chosen), false};
  const auto drawn = drawn_inside(opening, chosen, e);
  out.closed = closed_share(opening, out, drawn, level_mm, e) >= kClosedShare;
  if (e.normals_estimated) {
    PointsOfOpening told = tell_wall(out.points_mm, out.normals, opening);
    out.points_mm = std::move(told.points_mm);
    out.normals = std::move(told.normals);
  }
  return out;
}

bool is_closed_where_found(const Opening& drawn, const Opening& found, const OpeningEvidence& e) {
  const std::vector<Index> chosen =
      near_points(found, margin_mm(found, kFaceTo * found.shape.radius_mm, e), e.points_mm);
  const PointsAround near{e.points_mm(Eigen::all, chosen), e.normals(Eigen::all, chosen), false};
  return closed_share(found, near, drawn_inside(drawn, chosen, e), level_of(e), e) >= kClosedShare;
}

}  // namespace trammel
