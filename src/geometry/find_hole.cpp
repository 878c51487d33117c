#include "trammel/geometry/find_hole.hpp"

#include "hole_walls.hpp"
#include "trammel/geometry/near_triangles.hpp"

namespace trammel {
namespace {

using hole_walls::Crease;
using hole_walls::CreaseOrder;
using hole_walls::Finding;
using hole_walls::inward_creases;
using hole_walls::Kind;
using hole_walls::kTurnLimits_rad;
using hole_walls::Patch;
using hole_walls::PatchGrower;

/// A scan used as design is all creases. Every try walks over all near triangles: bound the steps.
constexpr int kMostCreaseSteps = 200'000'000;

/// The nearest hole among the gathered triangles, or the news that a nearer wall is cut off.
Finding search(const NearTriangles& near, const FindHoleSettings& settings) {
  Finding best;
  PatchGrower grower(near);
  std::vector<char> settled(static_cast<std::size_t>(near.size()), 0);
  int steps = 0;
  for (const Crease& crease : inward_creases(near, CreaseOrder::NearestFirst)) {
    // A wall may come nearer between its creases than at them, by less than a facet.
    if (crease.distance_mm > 1.5 * best.distance_mm || steps > kMostCreaseSteps) break;
    if (settled[static_cast<std::size_t>(crease.a)]) continue;
    for (const double turn_limit : kTurnLimits_rad) {
      if (crease.turn_rad > turn_limit) continue;
      steps += near.size();
      Patch wall;
      const Finding finding = hole_walls::examine(
          near, grower.grown(crease.a, crease.axis, turn_limit), settings, wall);
      if (finding.distance_mm < best.distance_mm) best = finding;
      for (const int f : wall)
        settled[static_cast<std::size_t>(f)] = 1;
      if (finding.kind != Kind::None) break;
    }
  }
  return best;
}

}  // namespace

std::optional<DesignHole> find_hole(const Mesh& design, const Eigen::Vector3d& at_mm,
                                    const FindHoleSettings& settings) {
  const double diagonal = bounding_box(design.vertices_mm).diagonal_mm();
  if (!(diagonal > 0.0) || !at_mm.allFinite()) return std::nullopt;
  const TriangleBoxes boxes(design);
  for (double reach = diagonal / 40.0;; reach *= 2.0) {
    const NearTriangles near = boxes.near(at_mm, reach);
    const Finding finding = search(near, settings);
    if (finding.kind == Kind::Hole) return finding.hole;
    if (near.whole) return std::nullopt;
  }
}

}  // namespace trammel
