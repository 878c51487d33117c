#include "trammel/geometry/closest_on_triangle.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>

namespace trammel {
namespace {

using Eigen::Vector3d;

TriangleFoot foot_at(const Vector3d& foot, const Vector3d& p, Feature feature) {
  return {foot, (p - foot).squaredNorm(), feature};
}

Feature edge(int k) {
  return static_cast<Feature>(static_cast<int>(Feature::Edge0) + k);
}
Feature vertex(int k) {
  return static_cast<Feature>(static_cast<int>(Feature::Vertex0) + k);
}

TriangleFoot closest_on_side(const std::array<Vector3d, 3>& corners, int k, const Vector3d& p) {
  const int next = (k + 1) % 3;
  const Vector3d& from = corners[static_cast<std::size_t>(k)];
  const Vector3d& to = corners[static_cast<std::size_t>(next)];
  const Vector3d along = to - from;
  const double length2 = along.squaredNorm();
  const double place = length2 > 0.0 ? along.dot(p - from) / length2 : 0.0;
  if (place <= 0.0) return foot_at(from, p, vertex(k));
  if (place >= 1.0) return foot_at(to, p, vertex(next));
  return foot_at(from + place * along, p, edge(k));
}

int longest_side(const std::array<Vector3d, 3>& c) {
  const std::array<double, 3> length2 = {(c[1] - c[0]).squaredNorm(), (c[2] - c[1]).squaredNorm(),
                                         (c[0] - c[2]).squaredNorm()};
  return static_cast<int>(std::max_element(length2.begin(), length2.end()) - length2.begin());
}

/// The foot inside the face, in a frame with x along the longest side; false when p projects
/// outside.
bool foot_in_face(const std::array<Vector3d, 3>& corners, const Vector3d& p, Vector3d& foot) {
  const auto k = static_cast<std::size_t>(longest_side(corners));
  const Vector3d& base = corners[k];
  const Vector3d side = corners[(k + 1) % 3] - base;
  const double length = side.norm();
  if (!(length > 0.0)) return false;
  const Vector3d x_axis = side / length;
  const Vector3d to_apex = corners[(k + 2) % 3] - base;
  const double apex_x = x_axis.dot(to_apex);
  const Vector3d rise = to_apex - apex_x * x_axis;
  const double apex_y = rise.norm();
  if (!(apex_y > 0.0)) return false;
  const Vector3d y_axis = rise / apex_y;
  const double x = x_axis.dot(p - base), y = y_axis.dot(p - base);
  const double left = apex_x * y / apex_y;
  const double right = length + (apex_x - length) * y / apex_y;
  if (y <= 0.0 || y >= apex_y || x <= left || x >= right) return false;
  foot = base + x * x_axis + y * y_axis;
  return true;
}

}  // namespace

bool is_needle(const EdgeTriangle& t) {
  const double longest2 =
      std::max({t.ab.squaredNorm(), t.ac.squaredNorm(), (t.ac - t.ab).squaredNorm()});
  return !(t.ab.cross(t.ac).squaredNorm() > 1e-6 * longest2 * longest2);
}

TriangleFoot closest_on_plain_triangle(const EdgeTriangle& t, const Vector3d& p) {
  const Vector3d ap = p - t.a;
  const double d1 = t.ab.dot(ap), d2 = t.ac.dot(ap);
  if (d1 <= 0.0 && d2 <= 0.0) return foot_at(t.a, p, Feature::Vertex0);

  const Vector3d bp = ap - t.ab;
  const double d3 = t.ab.dot(bp), d4 = t.ac.dot(bp);
  if (d3 >= 0.0 && d4 <= d3) return foot_at(t.a + t.ab, p, Feature::Vertex1);

  const double vc = d1 * d4 - d3 * d2;
  if (vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0) {
    return foot_at(t.a + (d1 / (d1 - d3)) * t.ab, p, Feature::Edge0);
  }

  const Vector3d cp = ap - t.ac;
  const double d5 = t.ab.dot(cp), d6 = t.ac.dot(cp);
  if (d6 >= 0.0 && d5 <= d6) return foot_at(t.a + t.ac, p, Feature::Vertex2);

  const double vb = d5 * d2 - d1 * d6;
  if (vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0) {
    return foot_at(t.a + (d2 / (d2 - d6)) * t.ac, p, Feature::Edge2);
  }

  const double va = d3 * d6 - d5 * d4;
  if (va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0) {
    const double place = (d4 - d3) / ((d4 - d3) + (d5 - d6));
    return foot_at(t.a + t.ab + place * (t.ac - t.ab), p, Feature::Edge1);
  }

  const double scale = 1.0 / (va + vb + vc);
  return foot_at(t.a + (vb * scale) * t.ab + (vc * scale) * t.ac, p, Feature::Face);
}

TriangleFoot closest_on_any_triangle(const EdgeTriangle& t, const Vector3d& p) {
  const std::array<Vector3d, 3> corners = {t.a, t.a + t.ab, t.a + t.ac};
  TriangleFoot best = closest_on_side(corners, 0, p);
  for (int k = 1; k < 3; ++k) {
    const TriangleFoot other = closest_on_side(corners, k, p);
    if (other.squared < best.squared) best = other;
  }
  Vector3d foot;
  if (foot_in_face(corners, p, foot)) {
    const TriangleFoot inner = foot_at(foot, p, Feature::Face);
    if (inner.squared < best.squared) best = inner;
  }
  return best;
}

}  // namespace trammel
