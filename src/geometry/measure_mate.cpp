#include "trammel/geometry/measure_mate.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/measure_hole.hpp"
#include "trammel/geometry/measure_rim.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

// Shares of the bolt's diameter.
constexpr double kReach = 3.0;       ///< of the points that are looked at
constexpr double kFarthest = 1.0;    ///< the middle from the place asked for
constexpr double kSameCircle = 0.3;  ///< between two middles of one hole
constexpr double kDisagree = 0.15;
constexpr double kWallDepth = 2.0;

constexpr int kMostFaces = 3;
constexpr std::size_t kFewestOnFace = 60;
constexpr double kOnFace_mm = 0.3;
constexpr double kLooksAlong = 0.9;  ///< cosine
constexpr Index kCandidates = 200, kCounted = 2000;
constexpr int kRounds = 6;
constexpr int kFewestOnWall = 20;
constexpr double kWallBand = 0.25;  ///< of the rim's radius, to either side
constexpr double kMostLean = 0.5;   ///< sine of a wall's normal out of the face's plane
constexpr double kSure = 4.0;       ///< standard errors
constexpr double kLeastExpanded_mm = 0.002;

struct Near {
  Matrix3Xd points, normals;
  [[nodiscard]] Index size() const { return points.cols(); }
};

Near near_place(const Matrix3Xd& points, const Matrix3Xd& normals, const Vector3d& at_mm,
                double reach_mm) {
  std::vector<Index> chosen;
  for (Index i = 0; i < points.cols(); ++i)
    if ((points.col(i) - at_mm).squaredNorm() <= reach_mm * reach_mm) chosen.push_back(i);
  Near near;
  near.points = points(Eigen::all, chosen);
  if (normals.cols() == points.cols()) {
    near.normals = normals(Eigen::all, chosen);
  } else if (near.size() > 0) {
    near.normals = estimate_normals(near.points, PointIndex(near.points)).normals;
  }
  return near;
}

struct FlatPatch {
  Vector3d point = Vector3d::Zero(), normal = Vector3d::UnitZ();
  std::vector<Index> on_it;
  double noise_mm = 0.0;
};

bool lies_on(const FlatPatch& face, const Near& near, Index i) {
  return std::abs((near.points.col(i) - face.point).dot(face.normal)) <= kOnFace_mm &&
         std::abs(near.normals.col(i).dot(face.normal)) >= kLooksAlong;
}

/// The plane through one of the points along its normal that most points lie on, among those not
/// taken yet; it must pass within a bolt of the place.
FlatPatch likeliest_plane(const Near& near, const std::vector<bool>& taken, const Vector3d& at_mm,
                          double bolt_mm) {
  FlatPatch best;
  std::size_t most = 0;
  const Index step = std::max<Index>(1, near.size() / kCandidates);
  const Index stride = std::max<Index>(1, near.size() / kCounted);
  for (Index c = 0; c < near.size(); c += step) {
    const FlatPatch tried{near.points.col(c), near.normals.col(c), {}, 0.0};
    if (taken[static_cast<std::size_t>(c)] ||
        std::abs((at_mm - tried.point).dot(tried.normal)) > kFarthest * bolt_mm)
      continue;
    std::size_t count = 0;
    for (Index i = 0; i < near.size(); i += stride)
      count += !taken[static_cast<std::size_t>(i)] && lies_on(tried, near, i) ? 1 : 0;
    if (count <= most) continue;
    most = count;
    best = tried;
  }
  return best;
}

/// Least-squares plane through what lies on it, a few rounds.
void settle_plane(FlatPatch& face, const Near& near, const std::vector<bool>& taken) {
  for (int round = 0; round < kRounds; ++round) {
    face.on_it.clear();
    std::vector<Neighbour> chosen;
    for (Index i = 0; i < near.size(); ++i) {
      if (taken[static_cast<std::size_t>(i)] || !lies_on(face, near, i)) continue;
      face.on_it.push_back(i);
      chosen.push_back({static_cast<int>(i), 0.0});
    }
    if (face.on_it.size() < kFewestOnFace) return;
    const LocalPlane plane = plane_through(near.points, chosen);
    const Vector3d normal = plane.spread.vectors.col(0);
    face.normal = normal.dot(face.normal) < 0.0 ? Vector3d(-normal) : normal;
    face.point = plane.mean_mm;
  }
  std::vector<double> heights;
  for (const Index i : face.on_it)
    heights.push_back((near.points.col(i) - face.point).dot(face.normal));
  face.noise_mm = robust_sigma(std::move(heights));
}

/// The three flat faces about the place with most points, the one nearest to it first.
std::vector<FlatPatch> faces_about(const Near& near, bool faces_out, const Vector3d& at_mm,
                                   double bolt_mm) {
  std::vector<FlatPatch> faces;
  std::vector<bool> taken(static_cast<std::size_t>(near.size()), false);
  for (int k = 0; k < kMostFaces; ++k) {
    FlatPatch face = likeliest_plane(near, taken, at_mm, bolt_mm);
    settle_plane(face, near, taken);
    if (face.on_it.size() < kFewestOnFace) break;
    double side = 0.0;
    for (const Index i : face.on_it) {
      taken[static_cast<std::size_t>(i)] = true;
      side += near.normals.col(i).dot(face.normal);
    }
    if (faces_out && side < 0.0) face.normal = -face.normal;
    faces.push_back(std::move(face));
  }
  // A hole right through has two rims: the place tells which face is meant.
  const auto away = [&](const FlatPatch& face) {
    return std::abs((at_mm - face.point).dot(face.normal));
  };
  std::stable_sort(faces.begin(), faces.end(),
                   [&](const FlatPatch& a, const FlatPatch& b) { return away(a) < away(b); });
  return faces;
}

/// What lies on the face, its normals to the face's side.
Near only_face(const FlatPatch& face, const Near& near) {
  std::vector<Index> level;
  for (Index i = 0; i < near.size(); ++i)
    if (std::abs((near.points.col(i) - face.point).dot(face.normal)) <= kOnFace_mm)
      level.push_back(i);
  Near out{near.points(Eigen::all, level), near.normals(Eigen::all, level)};
  for (Index i = 0; i < out.size(); ++i)
    if (out.normals.col(i).dot(face.normal) < 0.0) out.normals.col(i) *= -1.0;
  return out;
}

struct FaceRim {
  Vector3d center_mm;
  double radius_mm, center_error_mm;
  int points;
};

/// Starts at the place and, where that fails, on circles about it; each circle found once.
std::vector<FaceRim> rims_on(const FlatPatch& face, const Near& near, const Vector3d& at_mm,
                             double bolt_mm, std::string& reason) {
  const Near level = only_face(face, near);
  const Vector3d middle = at_mm - (at_mm - face.point).dot(face.normal) * face.normal;
  const auto [u, v] = across(face.normal);
  DesignHole place;
  place.axis = face.normal;
  place.radius_mm = 0.5 * bolt_mm;
  place.low_mm = -1.0;
  std::vector<FaceRim> found;
  for (const double ring : {0.0, 0.35, 0.7}) {
    const int starts = ring == 0.0 ? 1 : 8;
    for (int k = 0; k < starts; ++k) {
      const double angle = 2.0 * kPi * k / starts;
      place.center_mm = middle + ring * bolt_mm * (std::cos(angle) * u + std::sin(angle) * v);
      const MeasuredRim rim = measure_rim(level.points, level.normals, place, HoleEnd::High);
      if (!rim.measured && ring == 0.0) reason = rim.reason;
      const Vector3d center = place.center_mm + rim.offset_mm;
      if (!rim.measured || (center - middle).norm() > kFarthest * bolt_mm) continue;
      const bool known = std::any_of(found.begin(), found.end(), [&](const FaceRim& other) {
        return (other.center_mm - center).norm() <= kSameCircle * bolt_mm;
      });
      if (!known) found.push_back({center, rim.radius_mm, rim.center_error_mm, rim.points});
    }
    if (!found.empty()) break;
  }
  return found;
}

/// The wall that goes into the face within the rim, or stands upon it.
struct WallSpan {
  bool stands = false;
  double low_mm = 0.0, high_mm = 0.0;  ///< levels over the face
};

std::optional<WallSpan> wall_within(const FlatPatch& face, const Near& near, const FaceRim& rim,
                                    double bolt_mm) {
  std::vector<double> below, above;
  for (Index i = 0; i < near.size(); ++i) {
    const Vector3d arm = near.points.col(i) - rim.center_mm;
    const double level = arm.dot(face.normal);
    const double off = (arm - level * face.normal).norm() - rim.radius_mm;
    if (std::abs(off) > kWallBand * rim.radius_mm || std::abs(level) > kWallDepth * bolt_mm ||
        std::abs(near.normals.col(i).dot(face.normal)) > kMostLean)
      continue;
    (level < 0.0 ? below : above).push_back(level);
  }
  const bool stands = above.size() > below.size();
  const std::vector<double>& levels = stands ? above : below;
  if (levels.size() < static_cast<std::size_t>(kFewestOnWall)) return std::nullopt;
  return WallSpan{stands, quantile(levels, 0.02), quantile(levels, 0.98)};
}

/// By its wall, as a hole of a design that lies there; all normals are turned to its middle, so
/// that a stud is measured alike.
std::optional<MeasuredHole> by_wall(const FlatPatch& face, const Near& near, const FaceRim& rim,
                                    const WallSpan& wall) {
  Matrix3Xd inward = near.normals;
  for (Index i = 0; i < near.size(); ++i)
    if (inward.col(i).dot(rim.center_mm - near.points.col(i)) < 0.0) inward.col(i) *= -1.0;
  DesignHole place;
  place.center_mm = rim.center_mm;
  place.axis = face.normal;
  place.radius_mm = rim.radius_mm;
  place.low_mm = wall.low_mm;
  place.high_mm = wall.high_mm;
  MeasuredHole measured = measure_hole(near.points, inward, place);
  if (measured.status != HoleStatus::Measured) return std::nullopt;
  return measured;
}

MateHole measured_on(const FlatPatch& face, const Near& near, const FaceRim& rim, double bolt_mm) {
  MateHole out;
  out.center_mm = rim.center_mm;
  out.axis = out.face_normal = face.normal;
  out.diameter_mm = 2.0 * rim.radius_mm;
  out.center_error_mm = rim.center_error_mm;
  out.noise_mm = face.noise_mm;
  out.points = rim.points;
  const auto wall = wall_within(face, near, rim, bolt_mm);
  if (!wall) return out;
  out.is_stud = wall->stands;
  const auto measured = by_wall(face, near, rim, *wall);
  if (!measured) return out;
  const double to_face = (face.point - measured->center_mm).dot(face.normal);
  const Vector3d meets =
      measured->center_mm + to_face / measured->axis.dot(face.normal) * measured->axis;
  const double apart = (meets - rim.center_mm).norm();
  const double errors = std::hypot(rim.center_error_mm, measured->center_error_mm);
  if (apart > kDisagree * bolt_mm + kSure * errors)
    out.reason = "its rim and its wall are " + fixed(apart, 2) + " mm apart";
  out.center_mm = meets;
  out.axis = measured->axis;
  out.diameter_mm = measured->diameter_mm;
  out.center_error_mm = measured->center_error_mm;
  out.by_wall = true;
  out.points = measured->points;
  return out;
}

MateHole no_mate_hole(const Vector3d& at_mm, std::string reason) {
  MateHole out;
  out.at_mm = at_mm;
  out.reason = std::move(reason);
  return out;
}

}  // namespace

MateHole measure_mate_hole(const Matrix3Xd& points_mm, const Matrix3Xd& normals, bool faces_out,
                           const Vector3d& at_mm, double bolt_mm) {
  const Near near = near_place(points_mm, normals, at_mm, kReach * bolt_mm);
  if (near.size() < static_cast<Index>(kFewestOnFace))
    return no_mate_hole(at_mm,
                        "only " + std::to_string(near.size()) + " points lie near the place given");
  const std::vector<FlatPatch> faces = faces_about(near, faces_out, at_mm, bolt_mm);
  std::string reason = "no flat face was seen about it";
  for (const FlatPatch& face : faces) {
    std::string of_face;
    const std::vector<FaceRim> rims = rims_on(face, near, at_mm, bolt_mm, of_face);
    if (&face == &faces.front()) reason = of_face;
    if (rims.empty()) continue;
    if (rims.size() > 1)
      return no_mate_hole(at_mm, "more than one hole or stud of its size lies near the place");
    MateHole out = measured_on(face, near, rims.front(), bolt_mm);
    out.at_mm = at_mm;
    return out;
  }
  return no_mate_hole(at_mm, reason);
}

Mate measure_mate(const Scan& scan, const std::vector<Vector3d>& places_mm,
                  const std::vector<double>& bolts_mm, std::optional<double> uncertainty_mm) {
  Mate mate;
  mate.faces_out = scan.has_normals();
  double noise_mm = 0.0;
  for (std::size_t i = 0; i < std::min(places_mm.size(), bolts_mm.size()); ++i) {
    mate.holes.push_back(
        measure_mate_hole(scan.points_mm, scan.normals, mate.faces_out, places_mm[i], bolts_mm[i]));
    noise_mm = std::max(noise_mm, mate.holes.back().noise_mm);
  }
  mate.uncertainty_mm = uncertainty_mm.value_or(std::max(kLeastExpanded_mm, 2.0 * noise_mm));
  return mate;
}

}  // namespace trammel
