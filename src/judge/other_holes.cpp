#include "trammel/judge/other_holes.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/measure_hole.hpp"
#include "trammel/geometry/measure_rim.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kSameHole = 1e-3;    // of its radius
constexpr double kAround = 3.5;       // radii: as far as a hole's wall and rims are looked for
constexpr double kBeyondEnds = 0.25;  // of the depth, likewise
constexpr double kMiddle = 0.85;      // of the radius: what is nearer to the wall may be its edge
constexpr double kInside = 0.9;  // of the radius: feet on the rim, 8 facets or more, lie beyond
constexpr double kAlongAxis = 0.7071;  // cosine
constexpr double kClosedShare = 0.6;
constexpr int kFewestAcross = 10;
/// What lies nearer to a hole's end is level with it (as judge/surface_out_of_place.hpp has it).
constexpr double kLevel_mm = 0.25, kNoiseSigmas = 4.0;
constexpr int kMostSquares = 12;  // along the grid over a hole

bool is_planned(const DesignHole& hole, const std::vector<HoleResult>& planned) {
  return std::any_of(planned.begin(), planned.end(), [&](const HoleResult& one) {
    const Vector3d arm = one.nominal_mm - hole.center_mm;
    const double level = hole.axis.dot(arm), slack = kSameHole * hole.radius_mm;
    return std::abs(one.nominal_diameter_mm - 2.0 * hole.radius_mm) <= slack &&
           (arm - level * hole.axis).norm() <= slack && level >= hole.low_mm - slack &&
           level <= hole.high_mm + slack;
  });
}

/// The scan's points about a hole.
struct Around {
  Matrix3Xd points_mm, normals;
  std::vector<std::uint8_t> drawn;  ///< 1 where the design has a surface inside the hole there
};

/// Read on a surface of the design that lies inside the hole, not on its rim.
bool is_drawn_inside(const DesignHole& hole, const Deviations& deviations, Index point) {
  const Reading reading = deviations.reading[static_cast<std::size_t>(point)];
  if (reading != Reading::Measured && reading != Reading::Inside) return false;
  const Vector3d arm = deviations.foot_mm.col(point) - hole.center_mm;
  return (arm - hole.axis.dot(arm) * hole.axis).norm() < kInside * hole.radius_mm;
}

Around around(const DesignHole& hole, const OtherHolesEvidence& e, double level_mm) {
  const Vector3d ends[2] = {hole.center_mm + hole.low_mm * hole.axis,
                            hole.center_mm + hole.high_mm * hole.axis};
  const Vector3d margin = Vector3d::Constant(
      kAround * hole.radius_mm + kBeyondEnds * hole.depth_mm() + level_mm + e.coating_mm);
  const Eigen::Array3d low = (ends[0].cwiseMin(ends[1]) - margin).array();
  const Eigen::Array3d high = (ends[0].cwiseMax(ends[1]) + margin).array();
  std::vector<Index> chosen;
  for (Index i = 0; i < e.points_mm.cols(); ++i) {
    const auto p = e.points_mm.col(i).array();
    if ((p >= low).all() && (p <= high).all()) chosen.push_back(i);
  }
  Around out{e.points_mm(Eigen::all, chosen), e.normals(Eigen::all, chosen), {}};
  for (const Index i : chosen)
    out.drawn.push_back(is_drawn_inside(hole, e.deviations, i) ? 1 : 0);
  return out;
}

/// Looks along the axis, and is neither a floor that is drawn nor a bench at the end.
bool closes(const DesignHole& hole, const Vector3d& arm, const Vector3d& normal, double level_mm) {
  const double facing = hole.axis.dot(normal), level = hole.axis.dot(arm);
  if (std::abs(facing) < kAlongAxis) return false;
  if (level > hole.high_mm + level_mm || level < hole.low_mm - level_mm) return false;
  if ((arm - level * hole.axis).norm() > kMiddle * hole.radius_mm) return false;
  if (level > hole.high_mm - level_mm) return facing > 0.0;
  return level >= hole.low_mm + level_mm || facing < 0.0;
}

/// Share of the squares of a grid over the hole's middle that a closing point lies in.
double closed_share(const DesignHole& hole, const Around& near, double level_mm,
                    double spacing_mm) {
  const double reach = kMiddle * hole.radius_mm;
  const int squares = std::clamp(static_cast<int>(reach / spacing_mm), 3, kMostSquares);
  std::vector<std::uint8_t> hit(static_cast<std::size_t>(squares * squares), 0);
  const Across axes = across(hole.axis);
  const auto slot = [&](double x) {
    return std::clamp(static_cast<int>(0.5 * (x / reach + 1.0) * squares), 0, squares - 1);
  };
  int points = 0;
  for (Index i = 0; i < near.points_mm.cols(); ++i) {
    const Vector3d arm = near.points_mm.col(i) - hole.center_mm;
    if (near.drawn[static_cast<std::size_t>(i)] != 0) continue;
    if (!closes(hole, arm, near.normals.col(i), level_mm)) continue;
    ++points;
    hit[static_cast<std::size_t>(slot(arm.dot(axes.u)) * squares + slot(arm.dot(axes.v)))] = 1;
  }
  if (points < kFewestAcross) return 0.0;
  int all = 0, held = 0;
  for (int i = 0; i < squares; ++i) {
    for (int k = 0; k < squares; ++k) {
      const double x = (2.0 * i + 1.0) / squares - 1.0, y = (2.0 * k + 1.0) / squares - 1.0;
      if (x * x + y * y > 1.0) continue;
      ++all;
      held += hit[static_cast<std::size_t>(i * squares + k)];
    }
  }
  return static_cast<double>(held) / all;
}

OtherHole listed(const DesignHole& hole, const OtherHolesEvidence& e) {
  OtherHole out;
  out.center_mm = hole.middle_mm();
  out.axis = hole.axis;
  out.drawn_diameter_mm = 2.0 * hole.radius_mm;
  out.depth_mm = hole.depth_mm();
  if (!e.pose_is_sure) {
    out.reason = "the scan's place on the design is not sure";
    return out;
  }
  const double level_mm = std::max(kLevel_mm, kNoiseSigmas * e.noise_mm);
  const Around near = around(hole, e, level_mm);
  if (closed_share(hole, near, level_mm, e.spacing_mm) >= kClosedShare) {
    out.state = HoleState::Closed;
    out.reason = "a scanned surface lies across it";
    return out;
  }
  MeasureHoleSettings settings;
  settings.coating_mm = e.coating_mm;
  MeasuredHole measured = measure_hole(near.points_mm, near.normals, hole, settings);
  out.reason = measured.reason;
  if (measured.status == HoleStatus::TooFewPoints || measured.status == HoleStatus::Unseen) {
    measured = measure_by_rims(e.design, near.points_mm, near.normals, hole,
                               {MeasureRimSettings{}.least_cover_deg, e.coating_mm});
  }
  if (measured.status != HoleStatus::Measured) return out;
  out.reason = measured.rims == 1 ? "by one of its rims alone" : "";
  out.state = HoleState::Measured;
  out.diameter_mm = measured.diameter_mm;
  out.offset_mm = measured.offset_mm;
  out.standard_error_mm = measured.center_error_mm;
  out.points = measured.points;
  return out;
}

}  // namespace

std::vector<OtherHole> other_holes(const OtherHolesEvidence& e) {
  std::vector<const DesignHole*> unnamed;
  for (const DesignHole& hole : e.holes)
    if (!is_planned(hole, e.planned)) unnamed.push_back(&hole);
  std::vector<OtherHole> out(unnamed.size());
  for_each_index(
      unnamed.size(), [&](std::size_t i) { out[i] = listed(*unnamed[i], e); }, 1);
  return out;
}

}  // namespace trammel
