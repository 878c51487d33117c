#include "trammel/changes/why_not_seen.hpp"

#include "trammel/changes/view_directions.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kHidden = 0.75;         // of the directions
constexpr double kClearOfOwn = 3.0;      // cores' distances: nearer is the surface itself
constexpr double kCellOfStanding = 1.5;  // of the cores' distance: a surface leaves few empty

}  // namespace

WhyNotSeen::WhyNotSeen(const Cloud& other, const Eigen::Matrix3Xd& cores_mm, double core_mm,
                       const M3c2Settings& how)
    : other_(other), how_(how), core_mm_(core_mm), standing_(cores_mm, kCellOfStanding * core_mm) {}

bool WhyNotSeen::is_hidden(const Vector3d& at, const Vector3d& normal) const {
  if (!is_closed(at, normal)) return false;
  return how_.sides_known || is_closed(at, -normal);
}

bool WhyNotSeen::is_a_far_side(const Vector3d& at, const Vector3d& normal) const {
  if (!how_.sides_known) return false;
  const auto back = mean_in_cylinder(other_, at, -normal, 0.0, how_);
  if (!back || back->mean_mm <= 0.0) return false;
  const auto front = mean_in_cylinder(other_, at, normal, -0.5 * back->mean_mm, how_);
  return !front || front->mean_mm > 0.0 || -front->mean_mm > back->mean_mm;
}

bool WhyNotSeen::is_closed(const Vector3d& at, const Vector3d& out) const {
  return are_closed_about(out, kHidden, [&](const Vector3d& way) { return !is_free(at, way); });
}

bool WhyNotSeen::is_free(const Vector3d& from, const Vector3d& way) const {
  for (double far = kClearOfOwn * core_mm_; far <= kStandOff_mm; far += 0.7 * standing_.edge_mm())
    if (standing_.holds(from + far * way)) return false;
  return true;
}

}  // namespace trammel
