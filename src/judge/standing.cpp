#include "trammel/judge/standing.hpp"

#include <algorithm>
#include <cstdint>
#include <utility>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Faces that turn less than 45° from each other are one face.
constexpr double kOneFace = 0.7071;
/// Faces that look more than 120° apart are two sides of a wall.
constexpr double kOtherSide = -0.5;
/// So many rings of cells from an unseen face, a level surface may be the bench.
constexpr int kRings = 2;
/// Fewer points of a thing may be strays.
constexpr int kFewestPoints = 6;

class Standing {
 public:
  Standing(const SurfaceCells& cells, const CellReadings& readings)
      : cells_(cells),
        readings_(readings),
        height_mm_(static_cast<std::size_t>(cells.size()), 0.0),
        points_(height_mm_.size(), 0) {}

  void add(int cell, double height_mm) {
    const auto c = static_cast<std::size_t>(cell);
    height_mm_[c] = std::max(height_mm_[c], height_mm);
    ++points_[c];
  }

  [[nodiscard]] std::vector<StandingThing> things(double least_area_mm2) const {
    std::vector<std::vector<int>> single;
    std::vector<int> held;
    std::vector<std::uint8_t> taken(points_.size(), 0);
    for (std::size_t c = 0; c < points_.size(); ++c) {
      if (points_[c] == 0 || taken[c] != 0) continue;
      std::vector<int> patch = patch_from(static_cast<int>(c), taken);
      if (holds_from_both_sides(patch)) {
        held.insert(held.end(), patch.begin(), patch.end());
      } else if (!lies_at_unseen_face(patch)) {
        single.push_back(std::move(patch));
      }
    }
    std::vector<StandingThing> out;
    for (const std::vector<int>& patch : single) {
      if (lies_near(patch, held)) continue;
      const StandingThing thing = described(patch);
      if (thing.area_mm2 >= least_area_mm2 && points_of(patch) >= kFewestPoints) {
        out.push_back(thing);
      }
    }
    std::stable_sort(out.begin(), out.end(), [](const StandingThing& a, const StandingThing& b) {
      return a.area_mm2 > b.area_mm2;
    });
    return out;
  }

 private:
  [[nodiscard]] bool unseen(int cell) const {
    return readings_.seen[static_cast<std::size_t>(cell)] == 0;
  }

  /// Something rises from the cell, it is hidden, or it bridges a gap of one cell.
  [[nodiscard]] bool belongs(int cell, int from) const {
    if (points_[static_cast<std::size_t>(cell)] > 0 || unseen(cell)) return true;
    for (int k = 0; k < 3; ++k) {
      const int other = cells_.neighbours(k, cell);
      if (other >= 0 && other != from && points_[static_cast<std::size_t>(other)] > 0) return true;
    }
    return false;
  }

  /// Cells that something rises from, over shared edges and through unseen ones.
  [[nodiscard]] std::vector<int> patch_from(int seed, std::vector<std::uint8_t>& taken) const {
    std::vector<int> patch(1, seed);
    taken[static_cast<std::size_t>(seed)] = 1;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = cells_.neighbours(k, patch[next]);
        if (other < 0 || taken[static_cast<std::size_t>(other)] != 0) continue;
        if (!belongs(other, patch[next])) continue;
        taken[static_cast<std::size_t>(other)] = 1;
        patch.push_back(other);
      }
    }
    return patch;
  }

  [[nodiscard]] bool holds_from_both_sides(const std::vector<int>& patch) const {
    const Vector3d first = cells_.normal.col(patch.front());
    return std::any_of(patch.begin(), patch.end(),
                       [&](int cell) { return cells_.normal.col(cell).dot(first) < kOtherSide; });
  }

  [[nodiscard]] bool lies_near(const std::vector<int>& patch, const std::vector<int>& held) const {
    const Vector3d at = cells_.center_mm.col(patch.front());
    return std::any_of(held.begin(), held.end(), [&](int cell) {
      return (cells_.center_mm.col(cell) - at).norm() < kSameClamp_mm;
    });
  }

  /// Most cells of the patch that something rises from lie beside an unseen face that looks
  /// another way.
  [[nodiscard]] bool lies_at_unseen_face(const std::vector<int>& patch) const {
    int beside = 0, all = 0;
    for (const int cell : patch) {
      if (points_[static_cast<std::size_t>(cell)] == 0) continue;
      ++all;
      if (near_unseen_other_face(cell)) ++beside;
    }
    return 2 * beside > all;
  }

  [[nodiscard]] bool near_unseen_other_face(int cell) const {
    std::vector<int> ring(1, cell);
    std::size_t from = 0;
    for (int step = 0; step < kRings; ++step) {
      const std::size_t to = ring.size();
      for (; from < to; ++from) {
        for (int k = 0; k < 3; ++k) {
          const int other = cells_.neighbours(k, ring[from]);
          if (other < 0) continue;
          const bool turns = cells_.normal.col(other).dot(cells_.normal.col(cell)) < kOneFace;
          if (turns && unseen(other)) return true;
          ring.push_back(other);
        }
      }
    }
    return false;
  }

  [[nodiscard]] int points_of(const std::vector<int>& patch) const {
    int sum = 0;
    for (const int cell : patch)
      sum += points_[static_cast<std::size_t>(cell)];
    return sum;
  }

  [[nodiscard]] StandingThing described(const std::vector<int>& patch) const {
    StandingThing out;
    Vector3d centroid = Vector3d::Zero();
    for (const int cell : patch) {
      out.area_mm2 += cells_.area_mm2[cell];
      out.height_mm = std::max(out.height_mm, height_mm_[static_cast<std::size_t>(cell)]);
      centroid += cells_.area_mm2[cell] * cells_.center_mm.col(cell);
    }
    centroid /= out.area_mm2;
    const int middle = *std::min_element(patch.begin(), patch.end(), [&](int a, int b) {
      return (cells_.center_mm.col(a) - centroid).squaredNorm() <
             (cells_.center_mm.col(b) - centroid).squaredNorm();
    });
    out.center_mm = cells_.center_mm.col(middle);
    return out;
  }

  const SurfaceCells& cells_;
  const CellReadings& readings_;
  std::vector<double> height_mm_;  ///< #C of what rises from the cell
  std::vector<int> points_;        ///< #C
};

}  // namespace

std::vector<StandingThing> things_standing(const Mesh& design, const CellTree& tree,
                                           const CellReadings& readings,
                                           const Deviations& deviations,
                                           const Eigen::Matrix3Xd& points_mm,
                                           double least_height_mm, double least_area_mm2) {
  Standing standing(tree.cells(), readings);
  for (Index i = 0; i < points_mm.cols(); ++i) {
    if (deviations.reading[static_cast<std::size_t>(i)] != Reading::Beside) continue;
    const Vector3d foot = deviations.foot_mm.col(i);
    const Vector3d rise = points_mm.col(i) - foot;
    const int cell = tree.cell_at(design, deviations.triangle[i], foot);
    const double height_mm = rise.dot(tree.cells().normal.col(cell));
    if (height_mm < least_height_mm || height_mm < kStraightAbove * rise.norm()) continue;
    standing.add(cell, height_mm);
  }
  return standing.things(least_area_mm2);
}

}  // namespace trammel
