#include "trammel/geometry/every_triangle.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Directions nearer to the limit than this may fall on either side of it by rounding.
constexpr double kCosineRounding = 1e-9;
/// Flatter than this for its length, a triangle is its sides: its plane has no digits left.
constexpr double kFlat = 1e-9;

/// Of the design's size, so much is added to a sphere: some thirty times the rounding of a place in
/// single precision within it.
constexpr double kSphereRounding = 2e-6;

/// In single precision, and no less than it was.
float rounded_up(double value) {
  return static_cast<float>(value * 1.00001);
}

Vector3d foot_on_side(const Vector3d& a, const Vector3d& b, const Vector3d& p) {
  const Vector3d along = b - a;
  const double length2 = along.squaredNorm();
  if (length2 == 0.0) return a;
  return a + std::clamp(along.dot(p - a) / length2, 0.0, 1.0) * along;
}

/// Angle at `at` between the directions to two corners, 0 where one of them is there.
double angle_between(const Vector3d& at, const Vector3d& a, const Vector3d& b, double within_mm) {
  const Vector3d u = a - at, v = b - at;
  if (u.norm() <= within_mm || v.norm() <= within_mm) return 0.0;
  return std::atan2(u.cross(v).norm(), u.dot(v));
}

}  // namespace

EveryTriangle::EveryTriangle(const Mesh& mesh)
    : mesh_(mesh),
      middle_(bounding_box(mesh.vertices_mm).center_mm()),
      spheres_(static_cast<std::size_t>(mesh.triangles.cols())) {
  const double extent = bounding_box(mesh.vertices_mm).diagonal_mm();
  for_each_index(spheres_.size(), [&](std::size_t t) {
    const int triangle = static_cast<int>(t);
    const Vector3d a = corner(triangle, 0), b = corner(triangle, 1), c = corner(triangle, 2);
    const Vector3d center = (a + b + c) / 3.0;
    const double radius2 = std::max(
        {(a - center).squaredNorm(), (b - center).squaredNorm(), (c - center).squaredNorm()});
    const Eigen::Vector3f from_middle = (center - middle_).cast<float>();
    spheres_[t] = {from_middle.x(), from_middle.y(), from_middle.z(),
                   static_cast<float>(std::sqrt(radius2) + kSphereRounding * extent)};
  });
}

Vector3d EveryTriangle::corner(int triangle, int k) const {
  return mesh_.vertices_mm.col(mesh_.triangles(k, triangle));
}

bool EveryTriangle::may_touch(std::size_t triangle, const Eigen::Vector3f& from_middle,
                              float most_mm) const {
  const Sphere& sphere = spheres_[triangle];
  const float dx = from_middle.x() - sphere.x, dy = from_middle.y() - sphere.y,
              dz = from_middle.z() - sphere.z;
  const float reach = sphere.radius + most_mm;
  return dx * dx + dy * dy + dz * dz <= reach * reach;
}

Eigen::Vector3f EveryTriangle::from_middle(const Vector3d& p) const {
  return (p - middle_).cast<float>();
}

Vector3d EveryTriangle::normal_of(int triangle) const {
  const Vector3d a = corner(triangle, 0), b = corner(triangle, 1), c = corner(triangle, 2);
  const Vector3d twice_area = (b - a).cross(c - a);
  const double size = twice_area.norm();
  return size > 0.0 ? Vector3d(twice_area / size) : Vector3d::Zero();
}

Vector3d EveryTriangle::foot_on(int triangle, const Vector3d& p) const {
  const Vector3d corners[3] = {corner(triangle, 0), corner(triangle, 1), corner(triangle, 2)};
  const Vector3d twice_area = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
  double longest2 = 0.0;
  for (int k = 0; k < 3; ++k)
    longest2 = std::max(longest2, (corners[(k + 1) % 3] - corners[k]).squaredNorm());
  if (twice_area.norm() > kFlat * longest2) {
    const Vector3d normal = twice_area.normalized();
    const Vector3d below = p - normal.dot(p - corners[0]) * normal;
    bool within = true;
    for (int k = 0; k < 3; ++k) {
      const Vector3d side = corners[(k + 1) % 3] - corners[k];
      within = within && normal.dot(side.cross(below - corners[k])) >= 0.0;
    }
    if (within) return below;
  }
  Vector3d best = corners[0];
  for (int k = 0; k < 3; ++k) {
    const Vector3d foot = foot_on_side(corners[k], corners[(k + 1) % 3], p);
    if ((foot - p).squaredNorm() < (best - p).squaredNorm()) best = foot;
  }
  return best;
}

double EveryTriangle::from_sides_mm(int triangle, const Vector3d& foot_mm) const {
  double least = std::numeric_limits<double>::infinity();
  for (int k = 0; k < 3; ++k) {
    const Vector3d on_side =
        foot_on_side(corner(triangle, k), corner(triangle, (k + 1) % 3), foot_mm);
    least = std::min(least, (on_side - foot_mm).norm());
  }
  return least;
}

MeasuredAgain EveryTriangle::measure(const Vector3d& p, const Vector3d& normal, double least_cosine,
                                     double most_mm) const {
  MeasuredAgain out;
  const Eigen::Vector3f at = from_middle(p);
  float bound_mm = rounded_up(most_mm);
  for (std::size_t t = 0; t < spheres_.size(); ++t) {
    if (!may_touch(t, at, bound_mm)) continue;
    const int triangle = static_cast<int>(t);
    const Vector3d foot = foot_on(triangle, p);
    const double distance = (foot - p).norm();
    if (distance < out.nearest_mm) {
      out.nearest_mm = distance;
      out.foot_mm = foot;
      out.triangle = triangle;
    }
    // Farther than both answers so far nothing is of interest.
    bound_mm = rounded_up(std::min(most_mm, std::max(out.nearest_mm, out.facing_most_mm)));
    if (distance >= out.facing_most_mm) continue;
    const double cosine = normal_of(triangle).dot(normal);
    if (cosine >= least_cosine - kCosineRounding) {
      out.facing_least_mm = std::min(out.facing_least_mm, distance);
    }
    if (cosine >= least_cosine + kCosineRounding) out.facing_most_mm = distance;
  }
  return out;
}

Vector3d EveryTriangle::outwards_at(const Vector3d& foot_mm, double within_mm) const {
  Vector3d sum = Vector3d::Zero();
  const Eigen::Vector3f place = from_middle(foot_mm);
  const float bound_mm = rounded_up(within_mm);
  for (std::size_t t = 0; t < spheres_.size(); ++t) {
    if (!may_touch(t, place, bound_mm)) continue;
    const int triangle = static_cast<int>(t);
    const Vector3d at = foot_on(triangle, foot_mm);
    if ((at - foot_mm).norm() > within_mm) continue;
    const Vector3d a = corner(triangle, 0), b = corner(triangle, 1), c = corner(triangle, 2);
    double angle = angle_between(at, a, b, within_mm) + angle_between(at, b, c, within_mm) +
                   angle_between(at, c, a, within_mm);
    // At a corner one angle is left, the corner's own. On a side the far corner sees both halves,
    // and the side itself half a turn: together a whole one, of which half is filled.
    const bool at_corner = (a - at).norm() <= within_mm || (b - at).norm() <= within_mm ||
                           (c - at).norm() <= within_mm;
    if (!at_corner && from_sides_mm(triangle, at) <= within_mm) angle = kPi;
    sum += angle * normal_of(triangle);
  }
  return sum;
}

}  // namespace trammel
