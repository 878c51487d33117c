#include "trammel/compare/compare.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/compare/bench_level.hpp"
#include "trammel/compare/beyond_walls.hpp"
#include "trammel/compare/missing_features.hpp"
#include "trammel/compare/scattered_points.hpp"
#include "trammel/compare/settle_readings.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/surface_gaps.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

struct PointReading {
  Reading reading = Reading::TooFar;
  double signed_mm = kNan;
  SurfacePoint at;
  bool sideways = false;    ///< taken over an edge of the face
  double nearer_mm = kNan;  ///< of a nearer face that the normal overruled
};

/// The signed distance to a face that looks the point's way, or NaN when the point is not of that
/// face.
///
/// A face is met from above or, where material is missing, from below; over its edge only as its
/// own continuation at the same level. A bench that the part stands on touches its lower edge, but
/// lies below the faces that look its way and yet outside the material: it is no part of them.
/// @param outside  the point lies outside the design's material
double distance_to_own_face(const SurfaceIndex& design, const Vector3d& p, const SurfacePoint& face,
                            bool is_nearest, bool outside, double level_mm) {
  const double height = design.face_normal(face.triangle).dot(p - face.foot_mm);
  if (face.feature == Feature::Face) return std::copysign(face.distance_mm, height);
  if (is_nearest && face.distance_mm <= level_mm) return design.signed_distance(p, face);
  if (std::abs(height) <= level_mm) return outside ? face.distance_mm : -face.distance_mm;
  const double sideways2 = face.distance_mm * face.distance_mm - height * height;
  const bool met = (height > 0.0) == outside && sideways2 <= height * height;
  return met ? std::copysign(face.distance_mm, height) : kNan;
}

/// Near enough, a face counts although the normal leans: at rims an estimated one mixes two faces.
bool near_and_not_opposed(const SurfaceIndex& design, const SurfacePoint& at,
                          const Vector3d& normal, double level_mm) {
  return at.distance_mm <= level_mm && design.face_normal(at.triangle).dot(normal) > -0.3;
}

/// Of a point that lies so much in a gap of the design not even the side is known.
constexpr double kDoubtOfSide = 0.2;

/// @param gaps       of an open design, else null
/// @param reach_mm   where nothing is nearer, the point is too far
/// @param within_mm  the design is known to be as near, or infinite
PointReading read_point(const SurfaceIndex& design, const SurfaceGaps* gaps, const Vector3d& p,
                        const Vector3d& normal, double reach_mm, double within_mm,
                        const CompareSettings& settings) {
  SurfacePoint any = design.nearest(p, std::min(reach_mm, within_mm));
  if (!any.found() && within_mm < reach_mm) any = design.nearest(p, reach_mm);  // but for rounding
  if (!any.found()) return {};
  const bool faces = design.face_normal(any.triangle).dot(normal) >= settings.least_cosine ||
                     near_and_not_opposed(design, any, normal, settings.level_mm);
  const SurfacePoint facing =
      faces ? any : design.nearest_facing(p, normal, settings.least_cosine, reach_mm);
  if (design.on_border(any)) return {Reading::BorderEdge, kNan, any};
  if (gaps != nullptr && !faces && gaps->doubt_of_side(p) > kDoubtOfSide)
    return {Reading::BorderEdge, kNan, any};
  const double true_mm = design.signed_distance(p, any);
  if (facing.found()) {
    if (design.on_border(facing)) return {Reading::BorderEdge, kNan, facing};
    const double own_mm =
        distance_to_own_face(design, p, facing, faces, true_mm > 0.0, settings.level_mm);
    const bool sideways = facing.feature != Feature::Face && facing.distance_mm > settings.level_mm;
    const bool past_nearer = facing.distance_mm > any.distance_mm + settings.level_mm;
    if (!std::isnan(own_mm))
      return {Reading::Measured, own_mm, facing, sideways, past_nearer ? true_mm : kNan};
  }
  if (true_mm < -settings.level_mm) return {Reading::Inside, true_mm, any};
  return {Reading::Beside, kNan, any};
}

/// What lies on no scanned surface tells nothing of the part, whatever design face is near.
void set_aside_scattered(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                         const PointIndex& index, const SurfaceIndex& design, Deviations& out) {
  Box box = bounding_box(design.mesh().vertices_mm);
  box.low_mm.array() -= out.reach_mm;
  box.high_mm.array() += out.reach_mm;
  const std::vector<std::uint8_t> scattered = scattered_points(points_mm, normals, index, box);
  for_each_index(scattered.size(), [&](std::size_t i) {
    const Reading reading = out.reading[i];
    if (scattered[i] == 0 || reading == Reading::TooFar || reading == Reading::BorderEdge) return;
    out.reading[i] = Reading::Stray;
    out.signed_mm[static_cast<Index>(i)] = kNan;
  });
}

/// What neighbours and faces farther off have to say.
/// @param index      of all points, or of those that stand for their neighbourhoods
/// @param estimated  the scan came without normals
void settle_all(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                const PointIndex& index, const SurfaceIndex& design, const ReadingDoubts& doubts,
                double level_mm, bool estimated, Deviations& out) {
  const double near_mm = std::max(1.0, 2.5 * median_spacing_mm(points_mm, index));
  const ScannedSurface scanned{points_mm, normals, index, doubts.sideways, near_mm};
  set_aside_scattered(points_mm, normals, index, design, out);
  if (estimated) set_aside_bench(scanned, level_mm, out);
  set_aside_beyond_walls(scanned, design, doubts, level_mm, out);
  settle_readings(points_mm, normals, index, design, doubts, out);
  read_covered_walls(scanned, design, level_mm, out);
  read_missing_material(scanned, design, out);
}

}  // namespace

Deviations compare(const Scan& scan, const Eigen::Matrix3Xd& normals, const SurfaceIndex& design,
                   const Eigen::Isometry3d& T_design_scan, const CompareSettings& settings) {
  TRAMMEL_CHECK(normals.cols() == scan.size(), "every scan point needs a normal");
  const double diagonal_mm = bounding_box(design.mesh().vertices_mm).diagonal_mm();
  const auto count = static_cast<std::size_t>(scan.size());
  Deviations out;
  out.reach_mm = settings.reach_mm > 0.0 ? settings.reach_mm : std::max(5.0, 0.06 * diagonal_mm);
  out.signed_mm.resize(scan.size());
  out.triangle.resize(scan.size());
  out.foot_mm.resize(3, scan.size());
  out.reading.resize(count);
  ReadingDoubts doubts{std::vector<std::uint8_t>(count), std::vector<double>(count)};
  Eigen::Matrix3Xd points_mm = moved_points(T_design_scan, scan.points_mm);
  if (settings.coating_mm != 0.0) points_mm -= settings.coating_mm * normals;
  std::optional<SurfaceGaps> gaps;
  if (design.has_border()) gaps.emplace(design.mesh());
  const auto read_points = [&](std::size_t begin, std::size_t end) {
    PointReading reading;
    for (std::size_t i = begin; i < end; ++i) {
      const auto c = static_cast<Index>(i);
      const Vector3d p = points_mm.col(c);
      // Scans are kept in the order of their places: the foot of the point before is near.
      reading = read_point(design, gaps ? &*gaps : nullptr, p, normals.col(c), out.reach_mm,
                           no_farther_than_mm(reading.at, p), settings);
      out.signed_mm[c] = reading.signed_mm;
      out.triangle[c] = reading.at.triangle;
      out.foot_mm.col(c) = reading.at.found() ? reading.at.foot_mm : Vector3d::Constant(kNan);
      out.reading[i] = reading.reading;
      doubts.sideways[i] = reading.sideways ? 1 : 0;
      doubts.nearer_mm[i] = reading.nearer_mm;
    }
  };
  std::optional<PointIndex> index;
  run_together({[&] { for_each_chunk(count, 1024, read_points); },
                [&] {
                  if (settings.settle) index.emplace(points_mm);
                }});
  if (!index) return out;
  settle_all(points_mm, normals, *index, design, doubts, settings.level_mm, !scan.has_normals(),
             out);
  return out;
}

}  // namespace trammel
