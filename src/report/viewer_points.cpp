#include "trammel/report/viewer_points.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include "place_grid.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

constexpr int kMostTries = 12;        ///< to find how large the cubes have to be
constexpr double kFewestShare = 0.8;  ///< of the points there is room for
constexpr std::size_t kTriedOn = 8;   ///< times as many points as there is room for
constexpr double kMostCubesAlong = 1 << 20;

using Indices = std::vector<Eigen::Index>;

Indices points_inside(const Eigen::Matrix3Xd& points_mm, const Box& box) {
  return indices_where(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto point = points_mm.col(static_cast<Eigen::Index>(i)).array();
    return (point >= box.low_mm.array()).all() && (point <= box.high_mm.array()).all();
  });
}

Box grown(Box box) {
  const double by = 0.5 * box.diagonal_mm();
  box.low_mm.array() -= by;
  box.high_mm.array() += by;
  return box;
}

/// The point of a cube that is nearest to its middle so far.
struct Nearest {
  double off = HUGE_VAL;  ///< squared, from the middle, in cubes
  Eigen::Index point = std::numeric_limits<Eigen::Index>::max();
};

using Cubes = std::unordered_map<std::uint64_t, Nearest>;

/// The first of two that are as near stays, in whatever order they are met.
void meet(Nearest& nearest, const Nearest& other) {
  const bool is_nearer =
      other.off < nearest.off || (other.off == nearest.off && other.point < nearest.point);
  if (is_nearer) nearest = other;
}

Cubes cubes_of(const Eigen::Matrix3Xd& points_mm, const Indices& of, std::size_t begin,
               std::size_t end, const Box& box, double cube_mm) {
  Cubes cubes;
  for (std::size_t n = begin; n < end; ++n) {
    const Eigen::Vector3d at = (points_mm.col(of[n]) - box.low_mm) / cube_mm;
    const Eigen::Vector3d cube = at.array().floor();
    const auto number = [&](Eigen::Index k) { return static_cast<std::uint64_t>(cube[k]); };
    meet(cubes[number(0) << 42U | number(1) << 21U | number(2)],
         {(at - cube - Eigen::Vector3d::Constant(0.5)).squaredNorm(), of[n]});
  }
  return cubes;
}

/// Of each cube the point nearest to its middle, the first of equals; ascending. Points in a row
/// lie near each other: each chunk of them meets few cubes.
Indices one_a_cube(const Eigen::Matrix3Xd& points_mm, const Indices& of, const Box& box,
                   double cube_mm) {
  constexpr std::size_t kChunk = 1U << 17U;
  std::vector<Cubes> parts((of.size() + kChunk - 1) / kChunk);
  for_each_chunk(of.size(), kChunk, [&](std::size_t begin, std::size_t end) {
    parts[begin / kChunk] = cubes_of(points_mm, of, begin, end, box, cube_mm);
  });
  Cubes cubes;
  for (const Cubes& part : parts)
    for (const auto& [number, nearest] : part)
      meet(cubes[number], nearest);
  Indices kept;
  for (const auto& [number, nearest] : cubes)
    kept.push_back(nearest.point);
  std::sort(kept.begin(), kept.end());
  return kept;
}

/// About the edge of cubes of which so many hold a point. A surface meets as many as its area has
/// squares: half as many when the edge grows by √2.
double cube_for(const Eigen::Matrix3Xd& points_mm, const Indices& of, const Box& box,
                std::size_t most) {
  const std::size_t stride = std::max<std::size_t>(1, of.size() / (kTriedOn * most));
  Indices tried;
  for (std::size_t n = 0; n < of.size(); n += stride)
    tried.push_back(of[n]);
  const auto room = static_cast<double>(most);
  const double finest_mm = std::max(1e-6, box.diagonal_mm() / kMostCubesAlong);
  double cube_mm = std::max(finest_mm, box.diagonal_mm() / std::sqrt(room));
  for (int i = 0; i < kMostTries; ++i) {
    const auto count = static_cast<double>(one_a_cube(points_mm, tried, box, cube_mm).size());
    if (count <= room && count >= kFewestShare * room) break;
    cube_mm *= std::sqrt(count / (0.5 * (1.0 + kFewestShare) * room));
    cube_mm = std::max(finest_mm, cube_mm);
  }
  return cube_mm;
}

void thin(const Eigen::Matrix3Xd& points_mm, const Box& box, std::size_t most, Indices& shown,
          ViewerPoints& points) {
  if (shown.size() <= most) return;
  points.cube_mm = cube_for(points_mm, shown, box, std::max<std::size_t>(1, most));
  Indices kept = one_a_cube(points_mm, shown, box, points.cube_mm);
  while (kept.size() > most) {
    points.cube_mm *= 1.05;
    kept = one_a_cube(points_mm, shown, box, points.cube_mm);
  }
  shown = std::move(kept);
}

/// Outward from the design where the point was measured to.
Eigen::Vector3d normal_of(const Inspection& inspection, Eigen::Index i) {
  const int triangle = inspection.deviations.triangle[i];
  if (!std::isfinite(inspection.deviations.signed_mm[i]) || triangle < 0)
    return Eigen::Vector3d::Zero();
  return area_vector(inspection.design.mesh, triangle).normalized();
}

std::uint16_t band_of(const Inspection& inspection, Eigen::Index i) {
  if (!std::isfinite(inspection.deviations.signed_mm[i])) return 0;
  const Zone* zone = band_at(inspection.plan, inspection.deviations.foot_mm.col(i)).zone;
  if (zone == nullptr) return 0;
  return static_cast<std::uint16_t>(1 + std::min(zone - inspection.plan.zones.data(), 65534L));
}

/// Slot n of every list, of point i of the scan.
void add_point(const Inspection& inspection, const Eigen::VectorXi& region_of_cell, Eigen::Index i,
               std::size_t n, ViewerPoints& points) {
  const Deviations& deviations = inspection.deviations;
  const double deviation = deviations.signed_mm[i];
  points.readings[n] = std::isfinite(deviation)
                           ? reading_units(deviation, points.reading_step_mm)
                           : set_aside_reading(deviations.reading[static_cast<std::size_t>(i)]);
  const Eigen::Vector3d normal = normal_of(inspection, i);
  for (std::size_t k = 0; k < 3; ++k) {
    points.normals[3 * n + k] =
        static_cast<std::int8_t>(std::lround(127.0 * normal[static_cast<Eigen::Index>(k)]));
  }
  points.bands[n] = band_of(inspection, i);
  const Eigen::VectorXi& cell_of_point = inspection.surface.readings.cell_of_point;
  const int cell = i < cell_of_point.size() ? cell_of_point[i] : -1;
  points.regions[n] =
      static_cast<std::uint16_t>(cell < 0 ? 0 : std::min(region_of_cell[cell], 65535));
}

double largest_reading_mm(const Deviations& deviations, const Indices& shown) {
  double largest = 1e-6;
  for (const Eigen::Index i : shown) {
    const double size = std::abs(deviations.signed_mm[i]);
    if (std::isfinite(size)) largest = std::max(largest, size);
  }
  return largest;
}

void count_set_aside(double seen_area_mm2, ViewerPoints& points) {
  points.set_aside = static_cast<std::size_t>(
      std::count_if(points.readings.begin(), points.readings.end(),
                    [](std::int16_t reading) { return reading < -kReadingUnits; }));
  const auto measured = static_cast<double>(points.size() - points.set_aside);
  if (measured > 0.0 && seen_area_mm2 > 0.0) points.apart_mm = std::sqrt(seen_area_mm2 / measured);
}

}  // namespace

std::int16_t set_aside_reading(Reading reading) {
  return static_cast<std::int16_t>(kUnseenReading + static_cast<int>(reading));
}

std::string set_aside_words(Reading reading) {
  switch (reading) {
    case Reading::TooFar: return "too far off the design to be measured to it";
    case Reading::Beside: return "near the design, but of none of its faces";
    case Reading::Stray: return "a stray: no neighbour reads alike";
    case Reading::BorderEdge: return "at an open edge of the design, where no side is known";
    case Reading::Measured:
    case Reading::Inside: break;
  }
  return "without a reading";
}

ViewerPoints viewer_points(const Inspection& inspection, const ViewerPointsSettings& settings) {
  ViewerPoints points;
  const Eigen::Matrix3Xd points_mm =
      moved_points(inspection.alignment.T_design_scan, inspection.scan.points_mm);
  points.points_of_scan = static_cast<std::size_t>(points_mm.cols());
  const Box near = grown(bounding_box(inspection.surface.cells.vertices_mm));
  Indices shown = points_inside(points_mm, near);
  points.far_off = points.points_of_scan - shown.size();
  thin(points_mm, near, settings.most_points, shown, points);
  const Box box = bounding_box(points_mm(Eigen::all, shown));
  const PlaceGrid grid(box, kFinestGrid);
  points.origin_mm = box.low_mm;
  points.place_step_mm = grid.step_mm();
  points.place_error_mm = grid.error_mm();
  points.reading_step_mm = largest_reading_mm(inspection.deviations, shown) / kReadingUnits;
  points.reading_error_mm = 0.5 * points.reading_step_mm;
  points.places.resize(3 * shown.size());
  points.normals.resize(3 * shown.size());
  points.readings.resize(shown.size());
  points.regions.resize(shown.size());
  points.bands.resize(shown.size());
  const Eigen::VectorXi region_of_cell = shown_regions(inspection);
  for_each_index(shown.size(), [&](std::size_t n) {
    const Place place = grid.place(points_mm.col(shown[n]));
    std::copy(place.begin(), place.end(), &points.places[3 * n]);
    add_point(inspection, region_of_cell, shown[n], n, points);
  });
  count_set_aside(inspection.verdict.coverage.seen_area_mm2, points);
  return points;
}

std::string shown_words(const ViewerPoints& points) {
  const auto count = [](std::size_t n) { return grouped(static_cast<long long>(n)); };
  const auto up = [](double mm) { return fixed(std::ceil(mm * 1e4) / 1e4, 4) + " mm"; };
  std::string words = "The scan is shown by ";
  words += points.size() == points.points_of_scan
               ? "all " + count(points.size()) + " points that were kept"
               : count(points.size()) + " of the " + count(points.points_of_scan) +
                     " points that were kept";
  if (points.cube_mm > 0.0)
    words += ", one of each cube of " + fixed(points.cube_mm, 2) + " mm that holds any";
  words += ": readings within " + up(points.reading_error_mm) + " and places within " +
           up(points.place_error_mm) + ".";
  if (points.set_aside > 0)
    words += " " + count(points.set_aside) + " of them have no reading and are grey.";
  if (points.far_off > 0)
    words += " " + count(points.far_off) + " lie far from the part and are left out.";
  return words;
}

}  // namespace trammel
