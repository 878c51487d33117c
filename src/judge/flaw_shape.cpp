#include "trammel/judge/flaw_shape.hpp"

#include <Eigen/Geometry>
#include <algorithm>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

VectorXd shrink_at(const FlawShape& shape, const Vector3d& origin_mm, const SurfacePlace& at) {
  const Vector3d pull = at.normal.cwiseProduct(at.place_mm - origin_mm);
  if (shape.axes.empty()) return VectorXd::Constant(1, pull.sum());
  VectorXd out(static_cast<Index>(shape.axes.size()));
  for (std::size_t k = 0; k < shape.axes.size(); ++k)
    out[static_cast<Index>(k)] = pull[shape.axes[k]];
  return out;
}

VectorXd face_form_at(const FlawShape& shape, const FlatFace& face, const Vector3d& place_mm) {
  const Vector3d from = place_mm - face.center_mm;
  const double u = from.dot(face.u) / face.half_u_mm, v = from.dot(face.v) / face.half_v_mm;
  VectorXd out(shape.size());
  out[0] = 1.0;
  if (shape.kind == FlawKind::Offset) return out;
  out[1] = u;
  out[2] = v;
  Index next = 3;
  if (shape.kind == FlawKind::Twist) out[next] = u * v;
  if (shape.bow_u) out[next++] = u * u;
  if (shape.bow_v) out[next] = v * v;
  return out;
}

void add_face_forms(int face, int back, std::vector<FlawShape>& out) {
  out.push_back({FlawKind::Offset, face, back, {}, false, false});
  out.push_back({FlawKind::Lean, face, back, {}, false, false});
  out.push_back({FlawKind::Twist, face, back, {}, false, false});
  out.push_back({FlawKind::Bow, face, back, {}, true, false});
  out.push_back({FlawKind::Bow, face, back, {}, false, true});
  out.push_back({FlawKind::Bow, face, back, {}, true, true});
}

bool names(const std::vector<int>& list, int value) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

}  // namespace

int FlawShape::size() const {
  switch (kind) {
    case FlawKind::Shrink: return std::max(1, static_cast<int>(axes.size()));
    case FlawKind::Lean: return 3;
    case FlawKind::Twist: return 4;
    case FlawKind::Bow: return 3 + (bow_u ? 1 : 0) + (bow_v ? 1 : 0);
    default: return 1;
  }
}

VectorXd shape_at(const FlawShape& shape, const std::vector<FlatFace>& faces,
                  const Vector3d& origin_mm, const SurfacePlace& at) {
  if (shape.kind == FlawKind::Shrink) return shrink_at(shape, origin_mm, at);
  if (shape.face < 0) return VectorXd::Ones(1);
  const bool on_front = at.face == shape.face;
  if (!on_front && (shape.back < 0 || at.face != shape.back)) return VectorXd::Zero(shape.size());
  const FlatFace& front = faces[static_cast<std::size_t>(shape.face)];
  const VectorXd form = face_form_at(shape, front, at.place_mm);
  return on_front ? form : VectorXd(-form);
}

VectorXd motion_at(const Vector3d& origin_mm, const SurfacePlace& at) {
  VectorXd out(6);
  out.head<3>() = Vector3d(at.place_mm - origin_mm).cross(at.normal);
  out.tail<3>() = at.normal;
  return out;
}

std::vector<FlawShape> moves_of_walls(const std::vector<Wall>& walls) {
  std::vector<FlawShape> out;
  for (const Wall& wall : walls) {
    out.push_back({FlawKind::Offset, wall.front, wall.back, {}, false, false});
    out.push_back({FlawKind::Lean, wall.front, wall.back, {}, false, false});
  }
  return out;
}

std::vector<FlawShape> possible_shapes(const std::vector<Wall>& walls,
                                       const std::vector<int>& tried) {
  std::vector<FlawShape> out;
  for (const std::vector<int>& axes :
       std::vector<std::vector<int>>{{}, {0}, {1}, {2}, {0, 1}, {0, 2}, {1, 2}, {0, 1, 2}}) {
    out.push_back({FlawKind::Shrink, -1, -1, axes, false, false});
  }
  out.push_back({FlawKind::Skin, -1, -1, {}, false, false});
  for (const int face : tried)
    add_face_forms(face, -1, out);
  for (const Wall& wall : walls) {
    if (names(tried, wall.front) || names(tried, wall.back))
      add_face_forms(wall.front, wall.back, out);
  }
  return out;
}

}  // namespace trammel
