#include "trammel/judge/warped_corners.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace trammel {
namespace {

constexpr double kOuterFifth = 0.8;
constexpr double kLikeHeight = 1.5;

bool at_corner(const FlatFace& face, const Eigen::Vector3d& place_mm) {
  const Eigen::Vector3d from = place_mm - face.center_mm;
  return std::abs(from.dot(face.u)) > kOuterFifth * face.half_u_mm &&
         std::abs(from.dot(face.v)) > kOuterFifth * face.half_v_mm;
}

bool is_one_bend(const LocalFlaw& front, const LocalFlaw& back, double thickness_mm) {
  const double there = std::abs(front.flaw.figure_mm), here = std::abs(back.flaw.figure_mm);
  const double apart = (front.flaw.center_mm - back.flaw.center_mm).norm();
  return front.flaw.kind != back.flaw.kind &&
         std::max(there, here) < kLikeHeight * std::min(there, here) &&
         apart < thickness_mm + 0.5 * std::sqrt(std::max(front.area_mm2, back.area_mm2));
}

LocalFlaw bent(const LocalFlaw& front, const LocalFlaw& back) {
  LocalFlaw out = front;
  out.flaw.kind = FlawKind::Corner;
  out.flaw.of_wall = true;
  out.cells.insert(out.cells.end(), back.cells.begin(), back.cells.end());
  std::sort(out.cells.begin(), out.cells.end());
  return out;
}

}  // namespace

std::vector<LocalFlaw> with_warped_corners(const std::vector<LocalFlaw>& patches,
                                           const std::vector<FlatFace>& faces,
                                           const std::vector<Wall>& walls,
                                           const Eigen::VectorXi& face_of_cell) {
  std::vector<LocalFlaw> out;
  std::vector<bool> joined(patches.size(), false);
  const auto face_of = [&](const LocalFlaw& patch) { return face_of_cell[patch.cells.front()]; };
  for (std::size_t i = 0; i < patches.size(); ++i) {
    if (joined[i]) continue;
    const int face = face_of(patches[i]);
    for (const Wall& wall : walls) {
      if (joined[i] || (wall.front != face && wall.back != face)) continue;
      if (!at_corner(faces[static_cast<std::size_t>(face)], patches[i].flaw.center_mm)) continue;
      const int other = wall.front == face ? wall.back : wall.front;
      for (std::size_t k = i + 1; k < patches.size(); ++k) {
        if (joined[k] || face_of(patches[k]) != other) continue;
        if (!is_one_bend(patches[i], patches[k], wall.thickness_mm)) continue;
        const bool front_first = wall.front == face;
        out.push_back(front_first ? bent(patches[i], patches[k]) : bent(patches[k], patches[i]));
        joined[i] = joined[k] = true;
        break;
      }
    }
    if (!joined[i]) out.push_back(patches[i]);
  }
  return out;
}

}  // namespace trammel
