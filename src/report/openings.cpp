#include "trammel/report/openings.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

constexpr int kProbes = 12;       ///< around the opening
constexpr double kWiden = 1.15;   ///< probes run in the material just outside a hole's wall,
constexpr double kWithin = 0.85;  ///< or just within a pin's
constexpr int kRingPoints = 48;

/// A place on the ring at a turn of the circle, or beyond it.
Eigen::Vector3d place_on(const Ring& ring, int step, int steps, double widen = 1.0) {
  const Eigen::Vector3d first = ring.axis.unitOrthogonal();
  const double turn = 2.0 * kPi * step / steps;
  const Eigen::Vector3d way = std::cos(turn) * first + std::sin(turn) * ring.axis.cross(first);
  const double end = way.dot(ring.half_straight_mm) < 0.0 ? -1.0 : 1.0;
  return ring.center_mm + widen * ring.radius_mm * way + end * ring.half_straight_mm;
}

/// Median way from the middle to where the material ends along `direction`.
double way_out_mm(const Ring& middle, const Eigen::Vector3d& direction, const SurfaceRays& rays) {
  std::vector<double> ways;
  for (int i = 0; i < kProbes; ++i) {
    const SurfaceRays::Hit hit = rays.first_hit(place_on(middle, i, kProbes, kWiden), direction);
    ways.push_back(hit.cell < 0 ? 0.0 : hit.distance_mm);
  }
  return median_of(ways);
}

std::array<Ring, 2> rims_of(const Ring& middle, const SurfaceRays& rays) {
  std::array<Ring, 2> rims{middle, middle};
  rims[0].center_mm += way_out_mm(middle, middle.axis, rays) * middle.axis;
  rims[1].center_mm -= way_out_mm(middle, -middle.axis, rays) * middle.axis;
  return rims;
}

Eigen::Vector3d unit_or_z(const Eigen::Vector3d& axis) {
  return axis.norm() > 0.0 ? axis.normalized() : Eigen::Vector3d::UnitZ();
}

/// A pin's ends: where its wall begins and leaves off.
std::array<Ring, 2> ends_of(const HoleResult& pin, const Ring& middle) {
  std::array<Ring, 2> ends{middle, middle};
  ends[0].center_mm += pin.above_mm * middle.axis;
  ends[1].center_mm += (pin.above_mm - pin.depth_mm) * middle.axis;
  return ends;
}

/// As drawn, and not measured so far.
Opening as_drawn(Subject subject, std::size_t index, Outcome outcome,
                 const std::array<Ring, 2>& rims) {
  Opening out;
  out.subject = subject;
  out.index = index;
  out.outcome = outcome;
  out.probe_share = kWiden;
  out.drawn = out.found = rims;
  return out;
}

Opening opening_of(const HoleResult& hole, std::size_t index, const SurfaceRays& rays) {
  const Ring middle{hole.nominal_mm, unit_or_z(hole.axis), 0.5 * hole.nominal_diameter_mm};
  const bool is_pin = hole.kind == RoundKind::Pin;
  Opening out = as_drawn(Subject::Hole, index, hole.outcome,
                         is_pin ? ends_of(hole, middle) : rims_of(middle, rays));
  if (is_pin) out.probe_share = kWithin;
  out.measured = hole.offset_mm.has_value();
  for (Ring& ring : out.found) {
    ring.center_mm += hole.offset_mm.value_or(Eigen::Vector3d::Zero());
    ring.radius_mm = 0.5 * hole.diameter_mm.value_or(hole.nominal_diameter_mm);
  }
  return out;
}

double half_straight(double length_mm, double width_mm) {
  return 0.5 * std::max(0.0, length_mm - width_mm);
}

Opening opening_of(const SlotResult& slot, std::size_t index, const SurfaceRays& rays) {
  const Ring middle{slot.nominal_mm, unit_or_z(slot.axis), 0.5 * slot.nominal_width_mm,
                    half_straight(slot.nominal_length_mm, slot.nominal_width_mm) * slot.along};
  Opening out = as_drawn(Subject::Slot, index, slot.outcome, rims_of(middle, rays));
  out.measured = slot.offset_mm && slot.turn_rad && slot.width_mm && slot.length_mm;
  if (!out.measured) return out;
  for (Ring& ring : out.found) {
    ring.center_mm += *slot.offset_mm;
    ring.radius_mm = 0.5 * *slot.width_mm;
    ring.half_straight_mm = half_straight(*slot.length_mm, *slot.width_mm) *
                            (Eigen::AngleAxisd(*slot.turn_rad, ring.axis) * slot.along);
  }
  return out;
}

/// Of `count` places along the rim that faces the view.
std::vector<bool> seen_along_rim(const Opening& opening, const View& view, const SurfaceRays& rays,
                                 int count) {
  const std::size_t side = facing_side(opening, view);
  const Ring& rim = opening.drawn[side];
  const Eigen::Vector3d outward = side == 0 ? rim.axis : Eigen::Vector3d(-rim.axis);
  std::vector<bool> seen;
  for (int i = 0; i < count; ++i)
    seen.push_back(
        rays.is_clear(place_on(rim, i, count, opening.probe_share), outward, view.towards));
  return seen;
}

}  // namespace

std::vector<Opening> openings_of(const Verdict& verdict, const SurfaceRays& rays) {
  std::vector<Opening> openings;
  for (std::size_t i = 0; i < verdict.holes.size(); ++i)
    openings.push_back(opening_of(verdict.holes[i], i, rays));
  for (std::size_t i = 0; i < verdict.slots.size(); ++i)
    openings.push_back(opening_of(verdict.slots[i], i, rays));
  return openings;
}

std::size_t opening_at(const Verdict& verdict, const Finding& finding) {
  return finding.index + (finding.subject == Subject::Slot ? verdict.holes.size() : 0);
}

std::size_t facing_side(const Opening& opening, const View& view) {
  return opening.drawn[0].axis.dot(view.towards) >= 0.0 ? 0 : 1;
}

double visible_share(const Opening& opening, const View& view, const SurfaceRays& rays) {
  const std::vector<bool> seen = seen_along_rim(opening, view, rays, kProbes);
  return static_cast<double>(std::count(seen.begin(), seen.end(), true)) / kProbes;
}

std::vector<bool> seen_ring_points(const Opening& opening, const View& view,
                                   const SurfaceRays& rays) {
  return seen_along_rim(opening, view, rays, kRingPoints);
}

Eigen::Matrix3Xd ring_points(const Ring& ring) {
  Eigen::Matrix3Xd points(3, kRingPoints);
  for (int i = 0; i < kRingPoints; ++i)
    points.col(i) = place_on(ring, i, kRingPoints);
  return points;
}

}  // namespace trammel
