#include "trammel/judge/mating_pattern.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/smooth_face.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using Complex = std::complex<double>;

/// Bolts that lie nearer to one line than this look the same in a mirror.
constexpr double kInLine_mm = 1e-3;

Complex mean_of(const std::vector<Vector2d>& points) {
  Complex sum;
  for (const Vector2d& p : points)
    sum += Complex(p.x(), p.y());
  return sum / static_cast<double>(points.size());
}

/// The way the faces about the holes look; zero where they do not look one way.
Vector3d common_normal(const Mate& mate) {
  Vector3d sum = Vector3d::Zero();
  for (const MateHole& hole : mate.holes) {
    const double side = !mate.faces_out && hole.face_normal.dot(sum) < 0.0 ? -1.0 : 1.0;
    sum += side * hole.face_normal;
  }
  if (!(sum.norm() > 0.0)) return Vector3d::Zero();
  const Vector3d normal = sum.normalized();
  for (const MateHole& hole : mate.holes) {
    const double along = hole.face_normal.dot(normal);
    if ((mate.faces_out ? along : std::abs(along)) < kParallel) return Vector3d::Zero();
  }
  return normal;
}

bool in_line(const std::vector<Vector2d>& points) {
  Vector2d along = Vector2d::Zero();
  for (const Vector2d& p : points)
    if ((p - points.front()).norm() > along.norm()) along = p - points.front();
  if (!(along.norm() > 0.0)) return true;
  const Vector2d across(-along.y() / along.norm(), along.x() / along.norm());
  return std::all_of(points.begin(), points.end(), [&](const Vector2d& p) {
    return std::abs(across.dot(p - points.front())) <= kInLine_mm;
  });
}

}  // namespace

LaidBolts lay_bolts(const std::vector<Vector2d>& holes_mm, const std::vector<Vector2d>& bolts_mm,
                    const std::vector<double>& slack_mm) {
  const Complex hole_mean = mean_of(holes_mm), bolt_mean = mean_of(bolts_mm);
  Complex product;
  double squares = 0.0, allowed = 0.0;
  for (std::size_t i = 0; i < holes_mm.size(); ++i) {
    const Complex h = Complex(holes_mm[i].x(), holes_mm[i].y()) - hole_mean;
    const Complex z = Complex(bolts_mm[i].x(), bolts_mm[i].y()) - bolt_mean;
    product += std::conj(z) * h;
    squares += std::norm(h) + std::norm(z);
    allowed += std::pow(std::max(0.0, slack_mm[i]), 2);
  }
  const double reach = std::abs(product);
  const Complex turn = reach > 0.0 ? product / reach : Complex(1.0, 0.0);
  LaidBolts out;
  for (const Vector2d& bolt : bolts_mm) {
    const Complex moved = turn * (Complex(bolt.x(), bolt.y()) - bolt_mean) + hole_mean;
    out.bolts_mm.emplace_back(moved.real(), moved.imag());
  }
  const double least = squares - 2.0 * reach;
  out.turn_is_sure = least + 2.0 * reach * (1.0 - std::cos(kMostPatternTurn_rad)) > allowed;
  return out;
}

std::vector<Vector2d> mirrored(std::vector<Vector2d> points_mm) {
  for (Vector2d& p : points_mm)
    p.x() = -p.x();
  return points_mm;
}

MatingPattern mating_pattern(const Mate& mate, const std::vector<std::string>& names) {
  MatingPattern out;
  if (mate.holes.size() != names.size() || mate.holes.empty()) {
    out.reason = "the mate was not measured";
    return out;
  }
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (mate.holes[i].is_measured()) continue;
    out.reason = "the mate's hole or stud for hole " + names[i] + " was not measured in " +
                 mate.file + ": " + mate.holes[i].reason;
    return out;
  }
  const Vector3d normal = common_normal(mate);
  if (normal.isZero()) {
    out.reason = "the faces about the holes in " + mate.file + " do not look one way";
    return out;
  }
  const auto [u, v] = across(-normal);
  for (std::size_t i = 0; i < names.size(); ++i) {
    const MateHole& hole = mate.holes[i];
    const double along = std::abs(hole.axis.dot(normal));
    if (along < kParallel) {
      out.reason = "the bolt for hole " + names[i] + " leans in " + mate.file;
      return out;
    }
    out.bolts_mm.emplace_back(hole.center_mm.dot(u), hole.center_mm.dot(v));
    out.lean.push_back(std::sqrt(std::max(0.0, 1.0 - along * along)) / along);
  }
  out.may_be_mirrored = !mate.faces_out && !in_line(out.bolts_mm);
  return out;
}

std::vector<SeatedMate> seated_mates(const std::vector<MateCheck>& asked,
                                     const std::vector<Mate>& measured,
                                     const SurfaceIndex& design) {
  std::vector<SeatedMate> out;
  if (measured.empty()) return out;
  const SmoothFaces faces(design);
  for (std::size_t i = 0; i < std::min(measured.size(), asked.size()); ++i) {
    const FoundFace found = faces.at(asked[i].face_mm);
    SeatedMate seated{measured[i], std::nullopt, found.reason};
    if (found.reason.empty() && !found.face.flat) seated.reason = "it is not flat in the design";
    if (seated.reason.empty()) seated.face_normal = found.face.normal;
    out.push_back(std::move(seated));
  }
  return out;
}

}  // namespace trammel
