#include "trammel/geometry/find_holes.hpp"

#include <algorithm>
#include <bitset>
#include <utility>

#include "hole_walls.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/near_triangles.hpp"
#include "wall_search.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using hole_walls::Finding;
using hole_walls::Kind;
using hole_walls::Patch;
using hole_walls::PatchGrower;
using wall_search::WallPiece;
using wall_search::WallSearch;
using wall_search::WallSeeds;

constexpr double kLeastTurn_deg = 100.0;

class HoleFinder {
 public:
  HoleFinder(const WallSeeds& seeds, const FindHoleSettings& settings)
      : seeds_(seeds), settings_(settings), search_(seeds) {}

  FoundHoles find() {
    FoundHoles out;
    out.complete = search_.go_through([&](const WallPiece& piece) {
      if (!turns_enough(piece)) return false;
      Finding finding = examined(piece);
      if (finding.kind != Kind::Hole) return false;
      out.holes.push_back(at_mid_depth(std::move(finding.hole)));
      return true;
    });
    wall_search::sort_by_first_triangle(out.holes);
    return out;
  }

 private:
  /// Whether the normals of a piece turn far enough about its axis: 360° less their widest gap, to
  /// a degree.
  [[nodiscard]] bool turns_enough(const WallPiece& piece) const {
    std::bitset<360> looked_at;
    for (const double angle : wall_search::directions_rad(seeds_.all, piece))
      looked_at.set(static_cast<std::size_t>(angle / kPi * 180.0 + 360.0) % 360);
    std::size_t gap = 0, widest = 0;
    for (std::size_t degree = 0; degree < 720; ++degree) {  // twice round: a gap may span 0°
      gap = looked_at[degree % 360] ? 0 : gap + 1;
      widest = std::max(widest, gap);
    }
    return 360.0 - static_cast<double>(widest) >= kLeastTurn_deg;
  }

  /// Among the triangles around the piece, wider until no wall is cut off.
  Finding examined(const WallPiece& piece) {
    const int first = piece.crease.a;
    const Vector3d center = seeds_.all.corner(first, 0);
    double reach = 0.0;
    for (const int f : piece.patch)
      for (int k = 0; k < 3; ++k)
        reach = std::max(reach, (seeds_.all.corner(f, k) - center).norm());
    for (reach *= 1.1;; reach *= 2.0) {
      const NearTriangles near = seeds_.boxes.near(center, reach);
      search_.spend(seeds_.design.triangles.cols() / 10 + 30 * near.size());
      const int origin = seeds_.all.origin[static_cast<std::size_t>(first)];
      const auto seed = std::lower_bound(near.origin.begin(), near.origin.end(), origin);
      PatchGrower grower(near);
      Patch around = grower.grown(static_cast<int>(seed - near.origin.begin()), piece.crease.axis,
                                  piece.turn_limit_rad);
      Patch wall;
      Finding finding = hole_walls::examine(near, std::move(around), settings_, wall);
      if (finding.kind == Kind::CutOff && !near.whole) continue;
      for (const int f : wall)
        search_.settle(near.origin[static_cast<std::size_t>(f)]);
      return finding;
    }
  }

  static DesignHole at_mid_depth(DesignHole hole) {
    const double middle = 0.5 * (hole.low_mm + hole.high_mm);
    hole.center_mm += middle * hole.axis;
    hole.low_mm -= middle;
    hole.high_mm -= middle;
    return hole;
  }

  const WallSeeds& seeds_;
  FindHoleSettings settings_;
  WallSearch search_;
};

}  // namespace

FoundHoles wall_search::holes_from(const WallSeeds& seeds, const FindHoleSettings& settings) {
  return HoleFinder(seeds, settings).find();
}

FoundHoles find_holes(const Mesh& design, const FindHoleSettings& settings) {
  if (design.triangles.cols() == 0) return {};
  return wall_search::holes_from(WallSeeds(design), settings);
}

}  // namespace trammel
