#include "trammel/geometry/own_face.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Neighbours = std::vector<Neighbour>;

constexpr int kOfBothFaces = 30;
/// A third of a normal distribution lies within this, in σ; half of it for two faces alike would be
/// 0.67 of one. The tightest of a hundred planes is tighter still, and as much wider as its place
/// is off: that cancels nearly.
constexpr double kThirdOfNoise = 0.43;
constexpr std::size_t kFewestOnOwn = 6;
/// Of spreads: no plane at an edge, or where the points are of one row.
constexpr double kFlat = 0.05;
constexpr double kWellSpread = 0.05;

bool is_plane(const LocalPlane& plane) {
  const Eigen::Vector3d& spread = plane.spread.values;
  return spread[0] <= kFlat * spread[1] && spread[1] > kWellSpread * spread[2];
}

/// 1 σ of `count` points about their plane, which takes three parameters.
double scatter_mm(const LocalPlane& plane, std::size_t count) {
  const double freedom = std::max(1.0, static_cast<double>(count) - 3.0);
  return std::sqrt(std::max(0.0, plane.spread.values[0]) / freedom);
}

double off_mm(const LocalPlane& plane, const Eigen::Vector3d& p) {
  return std::abs(plane.spread.vectors.col(0).dot(p - plane.mean_mm));
}

/// Calls `each` with how far every neighbour is off a plane through the place and two of them. Both
/// are of the own face in a quarter of the pairs or so: a hundred pairs will do.
template <typename Each>
void for_planes_through(const Eigen::Matrix3Xd& points, const Neighbours& all,
                        const Eigen::Vector3d& place, const Each& each) {
  constexpr double kLeastSine = 0.2;  // two neighbours in one line with the place say nothing
  const std::size_t count = all.size();
  std::vector<Eigen::Vector3d> arms(count);
  for (std::size_t i = 0; i < count; ++i)
    arms[i] = points.col(all[i].index) - place;
  std::vector<double> off(count);
  for (const std::size_t step : {7U, 11U, 13U})
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t j = (i + step) % count;
      const Eigen::Vector3d across = arms[i].cross(arms[j]);
      const double size = across.norm();
      if (!(size > kLeastSine * arms[i].norm() * arms[j].norm())) continue;
      const Eigen::Vector3d normal = across / size;
      for (std::size_t k = 0; k < count; ++k)
        off[k] = std::abs(normal.dot(arms[k]));
      each(normal, off);
    }
}

/// How close the nearest third of the neighbours comes to the plane that it comes closest to.
double tightest_third_mm(const Eigen::Matrix3Xd& points, const Neighbours& all,
                         const Eigen::Vector3d& place) {
  double best = HUGE_VAL;
  for_planes_through(points, all, place, [&](const Eigen::Vector3d&, std::vector<double>& off) {
    const auto third = off.begin() + static_cast<std::ptrdiff_t>(off.size() / 3);
    std::nth_element(off.begin(), third, off.end());
    best = std::min(best, *third);
  });
  return best;
}

/// Normal of the plane through the place that most neighbours lie within `reach_mm` of; zero for
/// none.
Eigen::Vector3d fullest_plane(const Eigen::Matrix3Xd& points, const Neighbours& all,
                              const Eigen::Vector3d& place, double reach_mm) {
  Eigen::Vector3d best = Eigen::Vector3d::Zero();
  std::ptrdiff_t most = 0;
  for_planes_through(
      points, all, place, [&](const Eigen::Vector3d& normal, const std::vector<double>& off) {
        const auto count =
            std::count_if(off.begin(), off.end(), [&](double d) { return d <= reach_mm; });
        if (count <= most) return;
        most = count;
        best = normal;
      });
  return best;
}

OwnFace face_through(const Eigen::Matrix3Xd& points, const Neighbours& own) {
  const LocalPlane plane = plane_through(points, own);
  return {plane, scatter_mm(plane, own.size())};
}

/// The plane of what lies about the fullest one.
std::optional<OwnFace> face_about_fullest(const Eigen::Matrix3Xd& points, const Neighbours& all,
                                          const Eigen::Vector3d& place, double noise_mm) {
  // The plane goes through the place, which carries noise as well.
  const double reach_mm = 3.0 * std::sqrt(2.0) * noise_mm;
  OwnFace face{{place, {}}, 0.0};
  face.plane.spread.vectors.col(0) = fullest_plane(points, all, place, reach_mm);
  if (face.plane.spread.vectors.col(0).isZero()) return {};
  double within_mm = reach_mm;
  for (int round = 0; round < 3; ++round) {
    Neighbours own;
    std::copy_if(all.begin(), all.end(), std::back_inserter(own), [&](const Neighbour& n) {
      return off_mm(face.plane, points.col(n.index)) <= within_mm;
    });
    if (own.size() < kFewestOnOwn) return {};
    face = face_through(points, own);
    within_mm = 3.0 * noise_mm;
  }
  return face;
}

std::vector<Eigen::Vector3d> some_places(const Eigen::Matrix3Xd& points) {
  constexpr Eigen::Index kPlaces = 600;
  const Eigen::Index count = std::min(kPlaces, points.cols());
  std::vector<Eigen::Vector3d> out;
  for (Eigen::Index i = 0; i < count; ++i)
    out.emplace_back(points.col(i * points.cols() / count));
  return out;
}

/// 1 σ across faces, the median over places.
double noise_by_tightest_mm(const Eigen::Matrix3Xd& points, const PointIndex& index) {
  std::vector<double> third;
  for (const Eigen::Vector3d& place : some_places(points)) {
    const double off_mm = tightest_third_mm(points, index.nearest(place, kOfBothFaces), place);
    if (off_mm < HUGE_VAL) third.push_back(off_mm);
  }
  return third.empty() ? 0.0 : median_of(third) / kThirdOfNoise;
}

std::optional<OwnFace> if_plane(const OwnFace& face) {
  return is_plane(face.plane) ? std::optional(face) : std::nullopt;
}

}  // namespace

OwnFaces::OwnFaces(const Eigen::Matrix3Xd& points_mm, const PointIndex& index)
    : points_mm_(points_mm), index_(index), noise_mm_(noise_by_tightest_mm(points_mm, index)) {
  // That is rough, for it takes a third of all neighbours, however many are of the own face.
  std::vector<double> scatter;
  for (const Eigen::Vector3d& place : some_places(points_mm))
    if (const auto face = at(place)) scatter.push_back(face->scatter_mm);
  if (!scatter.empty()) noise_mm_ = median_of(scatter);
}

std::optional<OwnFace> OwnFaces::at(const Eigen::Vector3d& place_mm) const {
  constexpr double kOfTwoFaces = 3.0;
  const Neighbours nearest = index_.nearest(place_mm, kOfBothFaces);
  if (nearest.size() < kFewestOnOwn) return {};
  const OwnFace all = face_through(points_mm_, nearest);
  const auto own = face_about_fullest(points_mm_, nearest, place_mm, noise_mm_);
  const bool two_faces = own && all.scatter_mm > kOfTwoFaces * own->scatter_mm;
  return if_plane(two_faces && is_plane(own->plane) ? *own : all);
}

}  // namespace trammel
