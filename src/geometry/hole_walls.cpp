#include "hole_walls.hpp"

#include <algorithm>
#include <bitset>
#include <cmath>
#include <optional>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel::hole_walls {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// Of a wall's depth, and of a direction: floats of an STL move 3 mm by 1e-5 of it at 400 mm.
constexpr double kSameEnd = 1e-4;
constexpr double kRoughlyRound = 0.1;  // of the radius: the first fit of a patch worth a second

/// Facets with every corner on the cylinder, or inside it by no more than the sag of a facet, that
/// look at the axis.
Patch facets_on(const NearTriangles& near, const Cylinder& cylinder, double tolerance_mm) {
  const double sag = cylinder.radius_mm * (1.0 - std::cos(0.5 * kTurnLimits_rad[2]));
  Patch patch;
  for (int f = 0; f < near.size(); ++f) {
    bool on = std::abs(near.normals.col(f).dot(cylinder.axis)) <= kMostLean;
    for (int k = 0; on && k < 3; ++k) {
      const double distance = distance_to(cylinder, near.corner(f, k));
      on = distance <= tolerance_mm && distance >= -tolerance_mm - sag;
    }
    if (!on) continue;
    const Vector3d arm =
        (near.corner(f, 0) + near.corner(f, 1) + near.corner(f, 2)) / 3.0 - cylinder.center_mm;
    const Vector3d outward = (arm - cylinder.axis.dot(arm) * cylinder.axis).normalized();
    if (near.normals.col(f).dot(outward) < -0.9) patch.push_back(f);
  }
  return patch;
}

struct Span {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();
  void add(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

Span span_along(const NearTriangles& near, const Patch& patch, const Cylinder& cylinder) {
  Span span;
  for (const int f : patch)
    for (int k = 0; k < 3; ++k)
      span.add(cylinder.axis.dot(near.corner(f, k) - cylinder.center_mm));
  return span;
}

/// The facets whose stretch along the axis hangs together with that of `seed`: the same hole
/// through the next sheet behind a gap is another hole.
Patch joined_along(const NearTriangles& near, const Patch& facets, const Patch& seed,
                   const Cylinder& cylinder) {
  Span reached = span_along(near, seed, cylinder);
  const double slack = 1e-6 * cylinder.radius_mm;
  Patch joined;
  for (std::size_t before = 1; joined.size() != before;) {
    before = joined.size();
    joined.clear();
    Span wider = reached;
    for (const int f : facets) {
      const Span own = span_along(near, {f}, cylinder);
      if (own.low > reached.high + slack || own.high < reached.low - slack) continue;
      joined.push_back(f);
      wider.add(own.low);
      wider.add(own.high);
    }
    reached = wider;
  }
  return joined;
}

/// Degrees of the circle that the facets stand over.
double cover_deg(const NearTriangles& near, const Patch& patch, const Cylinder& cylinder) {
  const auto [u, v] = across(cylinder.axis);
  std::bitset<720> half_degrees;
  for (const int f : patch) {
    Span turn;
    double first = 0.0;
    for (int k = 0; k < 3; ++k) {
      const Vector3d arm = near.corner(f, k) - cylinder.center_mm;
      const double angle = std::atan2(arm.dot(v), arm.dot(u));
      if (k == 0) first = angle;
      turn.add(first + std::remainder(angle - first, 2.0 * kPi));
    }
    const auto from = static_cast<int>(std::floor(turn.low / kPi * 360.0));
    const auto to = static_cast<int>(std::ceil(turn.high / kPi * 360.0));
    for (int i = from; i < to; ++i)
      half_degrees.set(static_cast<std::size_t>((i % 720 + 720) % 720));
  }
  return 0.5 * static_cast<double>(half_degrees.count());
}

VectorXd distances_to(const Cylinder& cylinder, const Matrix3Xd& points) {
  VectorXd distances(points.cols());
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    distances[i] = std::abs(distance_to(cylinder, points.col(i)));
  return distances;
}

/// Ascending, each once.
std::vector<int> vertices_of(const NearTriangles& near, const Patch& patch) {
  std::vector<int> out;
  out.reserve(3 * patch.size());
  for (const int f : patch)
    for (int k = 0; k < 3; ++k)
      out.push_back(near.mesh.triangles(k, f));
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

std::optional<Cylinder> fit_corners(const NearTriangles& near, const Patch& patch) {
  const Corners corners = corners_of(near, patch);
  if (corners.points_mm.cols() < 6) return std::nullopt;
  const auto start = algebraic_circle(corners.points_mm, axis_from_normals(near, patch));
  if (!start) return std::nullopt;
  const auto fit = fit_cylinder(corners.points_mm, corners.area_mm2, *start, AxisChoice::Free);
  if (!fit) return std::nullopt;
  return fit->cylinder;
}

/// The cylinder that most of the wall's area lies on: least sum of distances, by reweighting. What
/// little a rounded mouth adds to the patch does not pull it.
std::optional<Cylinder> fit_majority(const NearTriangles& near, const Patch& patch,
                                     Cylinder cylinder) {
  const Corners corners = corners_of(near, patch);
  for (int round = 0; round < 20; ++round) {
    const VectorXd distances = distances_to(cylinder, corners.points_mm);
    const VectorXd weights =
        corners.area_mm2.array() / distances.array().max(1e-7 * cylinder.radius_mm);
    const auto fit = fit_cylinder(corners.points_mm, weights, cylinder, AxisChoice::Free);
    if (!fit) return std::nullopt;
    cylinder = fit->cylinder;
  }
  return cylinder;
}

double distance_to_patch(const NearTriangles& near, const Patch& patch) {
  Mesh mesh;
  mesh.vertices_mm = near.mesh.vertices_mm;
  mesh.triangles = near.mesh.triangles(Eigen::all, patch);
  return nearest_on_mesh(mesh, near.center_mm).distance_mm;
}

bool is_cut_off(const NearTriangles& near, const Patch& patch) {
  return std::any_of(patch.begin(), patch.end(), [&](int f) {
    return near.cut_off(f, 0) || near.cut_off(f, 1) || near.cut_off(f, 2);
  });
}

/// Whether a point at this level of the wall is nearer to its low end. One in the middle is near
/// both: there the axis is to point upwards, or forwards (−Y), or right, as views are preferred.
bool is_nearer_low(double level, const Span& span, const Vector3d& axis) {
  const double above = level - 0.5 * (span.low + span.high);
  if (std::abs(above) > kSameEnd * (span.high - span.low)) return above < 0.0;
  if (std::abs(axis.z()) > kSameEnd) return axis.z() < 0.0;
  if (std::abs(axis.y()) > kSameEnd) return axis.y() > 0.0;
  return axis.x() < 0.0;
}

DesignHole hole_from(const NearTriangles& near, const Patch& wall, Cylinder cylinder) {
  Span span = span_along(near, wall, cylinder);
  double level = cylinder.axis.dot(near.center_mm - cylinder.center_mm);
  if (is_nearer_low(level, span, cylinder.axis)) {  // out of the mouth next to the point
    cylinder.axis = -cylinder.axis;
    span = {-span.high, -span.low};
    level = -level;
  }
  level = std::clamp(level, span.low, span.high);
  DesignHole hole;
  hole.center_mm = cylinder.center_mm + level * cylinder.axis;
  hole.axis = cylinder.axis;
  hole.radius_mm = cylinder.radius_mm;
  hole.low_mm = span.low - level;
  hole.high_mm = span.high - level;
  for (const int f : wall)
    hole.triangles.push_back(near.origin[static_cast<std::size_t>(f)]);
  return hole;
}

bool is_roughly_round(const NearTriangles& near, const Patch& patch, const Cylinder& cylinder) {
  const VectorXd distances = distances_to(cylinder, corners_of(near, patch).points_mm);
  return distances.norm() <=
         kRoughlyRound * cylinder.radius_mm * std::sqrt(static_cast<double>(distances.size()));
}

}  // namespace

double wall_tolerance_mm(const NearTriangles& near, std::vector<double> off_mm, double radius_mm,
                         double roundness) {
  const double most = roundness * radius_mm;
  const double least = std::min(std::max(1e-4 * radius_mm, near.written_to_mm), most);
  return std::clamp(5.0 * median_of(off_mm), least, most);
}

Vector3d axis_from_normals(const NearTriangles& near, const Patch& patch) {
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const int f : patch)
    spread += near.area_mm2[f] * near.normals.col(f) * near.normals.col(f).transpose();
  return symmetric_eigen_3(spread).vectors.col(0);
}

Corners corners_of(const NearTriangles& near, const Patch& patch) {
  // By the patch's own vertices: a look at all of the design for each patch was a third of a
  // search.
  const std::vector<int> vertices = vertices_of(near, patch);
  const auto slot_of = [&](int vertex) {
    return std::lower_bound(vertices.begin(), vertices.end(), vertex) - vertices.begin();
  };
  VectorXd sharpest = VectorXd::Zero(static_cast<Eigen::Index>(vertices.size()));
  VectorXd area = sharpest;
  std::vector<double> turns;
  for (const int f : patch) {
    Eigen::Array3i corner;
    for (int k = 0; k < 3; ++k)
      corner[k] = static_cast<int>(slot_of(near.mesh.triangles(k, f)));
    for (int k = 0; k < 3; ++k) {
      const int other = near.across(k, f);
      const bool inside = other >= 0 && std::binary_search(patch.begin(), patch.end(), other);
      const double turn = inside ? turn_between(near, f, other) : 0.0;
      if (turn > kLeastCrease_rad) turns.push_back(turn);
      for (const int end : {k, (k + 1) % 3})
        sharpest[corner[end]] = std::max(sharpest[corner[end]], turn);
      area[corner[k]] += near.area_mm2[f] / 3.0;
    }
  }
  const double least = turns.empty() ? 0.0 : 0.25 * quantile(turns, 0.75);
  std::vector<int> chosen, chosen_vertices;
  for (std::size_t v = 0; v < vertices.size(); ++v) {
    if (!(sharpest[static_cast<Eigen::Index>(v)] >= least)) continue;
    chosen.push_back(static_cast<int>(v));
    chosen_vertices.push_back(vertices[v]);
  }
  return {near.mesh.vertices_mm(Eigen::all, chosen_vertices), area(chosen)};
}

Finding examine(const NearTriangles& near, Patch patch, const FindHoleSettings& settings,
                Patch& wall) {
  std::sort(patch.begin(), patch.end());  // it is searched by halves
  wall = patch;
  std::optional<Cylinder> fit = fit_corners(near, wall);
  if (fit && !is_roughly_round(near, wall, *fit)) fit.reset();
  // The first fit may hold facets of a rounded mouth; what lies off its circle is let go in steps.
  for (const double share : {0.03, 0.01, settings.roundness}) {
    if (!fit) break;
    wall = joined_along(near, facets_on(near, *fit, share * fit->radius_mm), patch, *fit);
    fit = fit_corners(near, wall);
  }
  if (fit) fit = fit_majority(near, wall, *fit);
  if (fit) {
    const VectorXd off = distances_to(*fit, corners_of(near, wall).points_mm);
    const double tolerance =
        wall_tolerance_mm(near, {off.begin(), off.end()}, fit->radius_mm, settings.roundness);
    wall = joined_along(near, facets_on(near, *fit, tolerance), patch, *fit);
    fit = fit_corners(near, wall);
  }
  const double most_off = fit ? settings.roundness * fit->radius_mm : 0.0;
  if (!fit || distances_to(*fit, corners_of(near, wall).points_mm).maxCoeff() > most_off) {
    wall.clear();
    return {};
  }
  const double distance = distance_to_patch(near, wall);
  if (distance > fit->radius_mm + settings.beside_mm) return {};
  if (is_cut_off(near, wall)) return {Kind::CutOff, {}, distance};
  if (cover_deg(near, wall, *fit) < settings.least_cover_deg) return {};
  return {Kind::Hole, hole_from(near, wall, *fit), distance};
}

}  // namespace trammel::hole_walls
