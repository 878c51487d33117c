#include "trammel/geometry/smooth_face.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <variant>

#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/mesh_topology.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const double kMostTurn = std::cos(32.0 * kDegree);  // a cosine, as the next two
const double kMostTurnOfLarge = std::cos(20.0 * kDegree);
const double kFlat = std::cos(kDegree);
constexpr double kLikeWidth = 2.0;
constexpr double kReachShare = 0.005, kLeastReach_mm = 0.1;
constexpr double kHeldShare = 1e-4;
constexpr double kOnEdgeShare = 1e-7;  // of the diagonal

FlatFaceSettings every_patch() {
  FlatFaceSettings settings;
  settings.least_area_mm2 = 0.0;
  settings.least_side_mm = 0.0;
  return settings;
}

bool is_large(const FlatFace& patch) {
  const FlatFaceSettings usual;
  return patch.area_mm2 >= usual.least_area_mm2 && patch.half_v_mm >= 0.5 * usual.least_side_mm;
}

Mesh only(const Mesh& design, const std::vector<int>& triangles) {
  Mesh mesh;
  mesh.vertices_mm = design.vertices_mm;
  mesh.triangles = design.triangles(Eigen::all, triangles);
  return mesh;
}

/// Whether a triangle of another face also reaches the point.
bool meets_another(const Mesh& design, const SmoothFace& face) {
  std::vector<int> others;
  for (int f = 0; f < design.triangles.cols(); ++f)
    if (!std::binary_search(face.triangles.begin(), face.triangles.end(), f) &&
        area_vector(design, f).squaredNorm() > 0.0)
      others.push_back(f);
  if (others.empty()) return false;
  const double near_mm = kOnEdgeShare * bounding_box(design.vertices_mm).diagonal_mm();
  return nearest_on_mesh(only(design, others), face.at_mm).distance_mm <= near_mm;
}

}  // namespace

double face_reach_mm(const Mesh& design) {
  return std::max(kLeastReach_mm, kReachShare * bounding_box(design.vertices_mm).diagonal_mm());
}

SmoothFaces::SmoothFaces(const SurfaceIndex& design)
    : design_(design), patches_(find_flat_faces(design, every_patch())) {}

FoundFace SmoothFaces::at(const Vector3d& place_mm) const {
  FoundFace found;
  const SurfacePoint foot = design_.nearest(place_mm);
  if (!foot.found() || foot.distance_mm > face_reach_mm(design_.mesh())) {
    found.reason = foot.found() ? "the design's surface is " + fixed(foot.distance_mm, 1) +
                                      " mm away from there"
                                : "the design has no surface";
    return found;
  }
  found.face = grown(foot.triangle);
  found.face.at_mm = foot.foot_mm;
  if (foot.feature != Feature::Face && meets_another(design_.mesh(), found.face))
    found.reason = "that is on the edge between two faces";
  return found;
}

SmoothFace SmoothFaces::grown(int seed) const {
  const Eigen::Matrix3Xi& across = design_.neighbours().across;
  std::vector<char> taken(static_cast<std::size_t>(across.cols()), 0);
  SmoothFace face;
  face.triangles.push_back(seed);
  taken[static_cast<std::size_t>(seed)] = 1;
  for (std::size_t next = 0; next < face.triangles.size(); ++next) {
    for (int k = 0; k < 3; ++k) {
      const int other = across(k, face.triangles[next]);
      if (other < 0 || taken[static_cast<std::size_t>(other)] != 0) continue;
      if (!goes_on(face.triangles[next], other)) continue;
      taken[static_cast<std::size_t>(other)] = 1;
      face.triangles.push_back(other);
    }
  }
  std::sort(face.triangles.begin(), face.triangles.end());
  describe(face);
  return face;
}

bool SmoothFaces::goes_on(int a, int b) const {
  const int patch_a = patches_.face_of[a], patch_b = patches_.face_of[b];
  if (patch_a < 0 || patch_b < 0) return false;  // without area: it has no direction to compare
  if (patch_a == patch_b) return true;
  const double turn = design_.face_normal(a).dot(design_.face_normal(b));
  if (turn < kMostTurn) return false;
  const FlatFace& first = patches_.faces[static_cast<std::size_t>(patch_a)];
  const FlatFace& second = patches_.faces[static_cast<std::size_t>(patch_b)];
  const bool large_first = is_large(first), large_second = is_large(second);
  if (!large_first && !large_second) return true;
  if (large_first && large_second && turn < kMostTurnOfLarge) return false;
  const double ratio = first.half_v_mm / second.half_v_mm;
  return ratio <= kLikeWidth && ratio >= 1.0 / kLikeWidth;
}

void SmoothFaces::describe(SmoothFace& face) const {
  Vector3d twice = Vector3d::Zero();
  for (const int f : face.triangles) {
    const Vector3d one = area_vector(design_.mesh(), f);
    twice += one;
    face.area_mm2 += 0.5 * one.norm();
  }
  face.normal = twice.normalized();
  face.flat = std::all_of(face.triangles.begin(), face.triangles.end(), [&](int f) {
    const Vector3d normal = design_.face_normal(f);
    return normal.isZero() || normal.dot(face.normal) >= kFlat;
  });
}

std::vector<std::string> find_zone_faces(std::vector<Zone>& zones, const SurfaceIndex& design,
                                         const std::string& where) {
  std::vector<std::string> notes;
  const bool any = std::any_of(zones.begin(), zones.end(), [](const Zone& zone) {
    return std::holds_alternative<FaceShape>(zone.shape);
  });
  if (!any) return notes;
  const SmoothFaces faces(design);
  for (Zone& zone : zones) {
    auto* shape = std::get_if<FaceShape>(&zone.shape);
    if (shape == nullptr) continue;
    const FoundFace found = faces.at(shape->at_mm);
    if (!found.reason.empty()) {
      throw Error(ErrorKind::Input, where,
                  "expected a point on a face of the design for zone '" + zone.name + "', found " +
                      place_words(shape->at_mm) + ": " + found.reason,
                  "Give [x, y, z] of a place well inside the face, in design coordinates, mm");
    }
    const auto face =
        std::make_shared<const SurfaceIndex>(only(design.mesh(), found.face.triangles));
    const double near_mm = kHeldShare * bounding_box(design.mesh().vertices_mm).diagonal_mm();
    shape->holds = [face, near_mm](const Vector3d& p) { return face->nearest(p, near_mm).found(); };
    notes.push_back("Zone '" + zone.name + "' is the " + (found.face.flat ? "flat" : "curved") +
                    " face of " + fixed(found.face.area_mm2, 0) + " mm² at " +
                    place_words(found.face.at_mm));
  }
  return notes;
}

}  // namespace trammel
