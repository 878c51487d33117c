#pragma once

/// The search of a whole design for walls of openings: what find_holes and find_slots share.

#include <Eigen/Core>
#include <algorithm>
#include <array>
#include <functional>
#include <vector>

#include "hole_walls.hpp"
#include "trammel/geometry/find_holes.hpp"
#include "trammel/geometry/find_slots.hpp"
#include "trammel/geometry/near_triangles.hpp"

namespace trammel::wall_search {

/// Where walls may begin. Made once for all searches of a design: it walks over the whole mesh.
struct WallSeeds {
  /// @param of_design  one triangle or more; must outlive this
  explicit WallSeeds(const Mesh& of_design);

  const Mesh& design;
  TriangleBoxes boxes;
  NearTriangles all;  ///< every triangle that has an area
  /// Sharpest first: what bends most is most likely a wall, gentle waves of a face may wait.
  std::vector<hole_walls::Crease> creases;
};

/// A smooth piece of the design along one axis.
struct WallPiece {
  const hole_walls::Crease& crease;  ///< that it was grown from
  const hole_walls::Patch& patch;    ///< triangles of `WallSeeds::all`, in the order reached
  double turn_limit_rad;             ///< no edge inside it turns more
};

/// Angles about the axis, rad, that the normals of a piece's facets look at, in the patch's order.
[[nodiscard]] std::vector<double> directions_rad(const NearTriangles& near, const WallPiece& piece);

/// Goes through the smooth pieces of a design once.
class WallSearch {
 public:
  /// @param seeds  must outlive this
  explicit WallSearch(const WallSeeds& seeds);

  /// Hands over the piece about each crease, gentle turns first, until `takes` says that it found
  /// what it looks for there; then goes on with the next crease. Creases of settled triangles are
  /// left out, and pieces whose like was handed over before: from a crease of theirs with much the
  /// same axis, or with another along which the same is reached, as the creases of a wavy wall
  /// have.
  /// @return false when it was broken off: a mesh all of creases is not worth the list
  [[nodiscard]] bool go_through(const std::function<bool(const WallPiece&)>& takes);

  /// No piece shall begin at this triangle of the design any more.
  void settle(int triangle);
  /// Counts what looking at a piece cost, in steps of about 0.1 µs.
  void spend(long long steps) { steps_ += steps; }

 private:
  void look_about(std::size_t index, const std::function<bool(const WallPiece&)>& takes);
  [[nodiscard]] bool was_tried(const hole_walls::Crease& crease, std::size_t limit) const;

  const WallSeeds& seeds_;
  hole_walls::PatchGrower grower_;
  std::vector<char> settled_;
  std::vector<hole_walls::SameReach> trials_;
  /// A limit: the trial that a triangle was last reached by; -1 where none did.
  std::array<std::vector<int>, 3> tried_;
  long long steps_ = 0;
};

template <typename Opening>
void sort_by_first_triangle(std::vector<Opening>& openings) {
  std::sort(openings.begin(), openings.end(), [](const Opening& a, const Opening& b) {
    return a.triangles.front() < b.triangles.front();
  });
}

/// What find_holes and find_slots do, once the seeds are there.
[[nodiscard]] FoundHoles holes_from(const WallSeeds& seeds, const FindHoleSettings& settings);
[[nodiscard]] FoundSlots slots_from(const WallSeeds& seeds, const FindSlotsSettings& settings);

}  // namespace trammel::wall_search
