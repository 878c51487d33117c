#include "surface_tree.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"
#include "triangle_halver.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr auto kLanes = static_cast<std::size_t>(wide::kLanes);
/// Runs of this many triangles are built side by side.
constexpr std::size_t kParallelSize = 8192;
/// Height over longest side below which the search is given the sides alone.
constexpr double kNeedle = 0.05;

/// A run of triangles in tree order, as long as `leaves` leaves hold.
struct Run {
  std::size_t begin, end;
  [[nodiscard]] std::size_t leaves() const { return (end - begin + kLanes - 1) / kLanes; }
};

/// The runs below a node: the longest is halved until there are eight, or only leaves. Lengths
/// alone decide, so that the nodes of a subtree are counted before it is built.
struct Division {
  std::array<Run, kLanes> runs;
  std::size_t count = 1;
};

Run left_half(const Run& run) {
  return {run.begin, run.begin + (run.leaves() / 2) * kLanes};
}

template <typename OnHalved>
Division divided(const Run& whole, const OnHalved& on_halved) {
  Division out;
  out.runs[0] = whole;
  while (out.count < kLanes) {
    const auto longest = std::max_element(
        out.runs.begin(), out.runs.begin() + static_cast<std::ptrdiff_t>(out.count),
        [](const Run& a, const Run& b) { return a.leaves() < b.leaves(); });
    if (longest->leaves() < 2) break;
    const Run left = left_half(*longest);
    on_halved(*longest, left.end);
    out.runs[out.count++] = {left.end, longest->end};
    longest->end = left.end;
  }
  return out;
}

std::size_t node_count(const Run& run) {
  if (run.leaves() < 2) return 0;
  std::size_t count = 1;
  const Division parts = divided(run, [](const Run&, std::size_t) {});
  for (std::size_t i = 0; i < parts.count; ++i)
    count += node_count(parts.runs[i]);
  return count;
}

float rounded_down(double value) {
  const auto near = static_cast<float>(value);
  return static_cast<double>(near) > value ? std::nextafter(near, -HUGE_VALF) : near;
}

float rounded_up(double value) {
  const auto near = static_cast<float>(value);
  return static_cast<double>(near) < value ? std::nextafter(near, HUGE_VALF) : near;
}

struct FloatBox {
  std::array<float, 3> low, high;
};

/// Around normals. An angle of π holds them all, one below 0 none.
struct Cone {
  Vector3d axis = Vector3d::Zero();
  double angle = -1.0;
};

/// Directions that lean less from each other cannot be told apart by their cosines.
constexpr double kAlike_rad = 1e-7;

/// About the mean of the axes: not the narrowest that holds all, but one that does.
template <typename Cones>
Cone around(const Cones& cones) {
  Cone out;
  Vector3d sum = Vector3d::Zero();
  for (const Cone& cone : cones)
    sum += cone.axis;
  if (!(sum.norm() > 0.0)) sum = Vector3d::UnitX();
  out.axis = sum.normalized();
  const Cone* farthest = nullptr;  // of single directions the one that leans most has the say
  for (const Cone& cone : cones) {
    if (cone.angle > 0.0) {
      out.angle = std::max(out.angle, angle_between(out.axis, cone.axis) + cone.angle);
    } else if (cone.angle == 0.0 &&
               (farthest == nullptr || out.axis.dot(cone.axis) < out.axis.dot(farthest->axis))) {
      farthest = &cone;
    }
  }
  if (farthest != nullptr)
    out.angle = std::max(out.angle, angle_between(out.axis, farthest->axis) + kAlike_rad);
  out.angle = std::min(out.angle, kPi);
  return out;
}

/// What a parent needs to know of a child.
struct Extent {
  FloatBox box;
  Cone cone;
};

class Builder {
 public:
  Builder(const Mesh& mesh, SurfaceTree& tree)
      : mesh_(mesh), tree_(tree), halver_(middles_of_triangles()) {
    const Run all{0, static_cast<std::size_t>(mesh.triangles.cols())};
    tree.leaves = large_vector<wide::Leaf>(all.leaves());
    tree.nodes = large_vector<wide::Node>(std::max<std::size_t>(1, node_count(all)));
    tree.cones = large_vector<wide::Cones>(tree.nodes.size());
    if (all.leaves() < 2) {
      clear(tree.nodes[0]);
      set_child(0, 0, leaf_extent(all), wide::kLeafBit);
    } else {
      (void)build(all, 0);
    }
  }

 private:
  [[nodiscard]] std::vector<TriangleMiddle> middles_of_triangles() const {
    auto out = large_vector<TriangleMiddle>(static_cast<std::size_t>(mesh_.triangles.cols()));
    for_each_index(out.size(), [&](std::size_t i) {
      const auto t = static_cast<Index>(i);
      const Vector3d a = corner(t, 0), b = corner(t, 1), c = corner(t, 2);
      const Vector3d middle = 0.5 * (a.cwiseMin(b).cwiseMin(c) + a.cwiseMax(b).cwiseMax(c));
      out[i] = {{static_cast<float>(middle.x()), static_cast<float>(middle.y()),
                 static_cast<float>(middle.z())},
                static_cast<std::int32_t>(i)};
    });
    return out;
  }
  /// Relative to the centre.
  [[nodiscard]] Vector3d corner(Index t, int k) const {
    return mesh_.vertices_mm.col(mesh_.triangles(k, t)) - tree_.center_mm;
  }

  static void clear(wide::Node& node) {
    for (int k = 0; k < wide::kLanes; ++k) {
      for (int axis = 0; axis < 3; ++axis)
        node.low[axis][k] = node.high[axis][k] = 0.0F;
      node.child[k] = wide::kNoChild;
    }
  }

  void set_child(std::size_t node, std::size_t slot, const Extent& extent, std::uint32_t child) {
    wide::Node& at = tree_.nodes[node];
    wide::Cones& cones = tree_.cones[node];
    for (std::size_t axis = 0; axis < 3; ++axis) {
      at.low[axis][slot] = extent.box.low[axis];
      at.high[axis][slot] = extent.box.high[axis];
      cones.axis[axis][slot] = static_cast<float>(extent.cone.axis[static_cast<Index>(axis)]);
    }
    const double angle = std::max(0.0, extent.cone.angle);
    cones.cosine[slot] = static_cast<float>(std::cos(angle));
    cones.sine[slot] = static_cast<float>(std::sin(angle));
    at.child[slot] = child;
  }

  Extent build(const Run& run, std::size_t node) {
    const Division parts = divided(run, [&](const Run& whole, std::size_t middle) {
      halver_.halve(whole.begin, middle, whole.end);
    });
    std::array<std::size_t, kLanes> first{};
    std::size_t next = node + 1;
    for (std::size_t i = 0; i < parts.count; ++i) {
      first[i] = next;
      next += node_count(parts.runs[i]);
    }
    clear(tree_.nodes[node]);
    std::array<Extent, kLanes> parts_of{};
    const auto make = [&](std::size_t i) {
      const Run& part = parts.runs[i];
      const bool is_leaf = part.leaves() < 2;
      parts_of[i] = is_leaf ? leaf_extent(part) : build(part, first[i]);
      set_child(node, i, parts_of[i],
                is_leaf ? wide::kLeafBit | static_cast<std::uint32_t>(part.begin / kLanes)
                        : static_cast<std::uint32_t>(first[i]));
    };
    if (run.end - run.begin > kParallelSize) {
      for_each_index(parts.count, make, 1);
    } else {
      for (std::size_t i = 0; i < parts.count; ++i)
        make(i);
    }
    FloatBox all = parts_of[0].box;
    std::array<Cone, kLanes> cones{};
    for (std::size_t i = 0; i < parts.count; ++i) {
      cones[i] = parts_of[i].cone;
      for (std::size_t k = 0; k < 3; ++k) {
        all.low[k] = std::min(all.low[k], parts_of[i].box.low[k]);
        all.high[k] = std::max(all.high[k], parts_of[i].box.high[k]);
      }
    }
    return {all, around(cones)};
  }

  /// Fills the leaf of a run, all zeros so far.
  Extent leaf_extent(const Run& run) {
    wide::Leaf& leaf = tree_.leaves[run.begin / kLanes];
    Vector3d low = Vector3d::Constant(HUGE_VAL), high = -low;
    std::array<Cone, kLanes> cones{};
    for (std::size_t k = 0; k < kLanes; ++k) {
      const std::size_t i = run.begin + k;
      leaf.triangle[k] = i < run.end ? halver_.triangle(i) : -1;
      if (i >= run.end) continue;
      cones[k] = fill_lane(leaf, k, low, high);
    }
    return {{{rounded_down(low[0]), rounded_down(low[1]), rounded_down(low[2])},
             {rounded_up(high[0]), rounded_up(high[1]), rounded_up(high[2])}},
            around(cones)};
  }

  /// @param low, high  widened by the triangle
  /// @return its direction, of the normal as the filter of a search works it out; a triangle
  /// without area is met by none
  Cone fill_lane(wide::Leaf& leaf, std::size_t lane, Vector3d& low, Vector3d& high) const {
    const auto place = [&](int k) {
      return mesh_.vertices_mm.col(mesh_.triangles(k, leaf.triangle[lane]));
    };
    const Vector3d a = place(0), b = place(1), c = place(2);
    for (const auto& [k, corner] : {std::pair(0, &a), std::pair(1, &b), std::pair(2, &c)}) {
      const Vector3d from_center = *corner - tree_.center_mm;
      for (int axis = 0; axis < 3; ++axis)
        leaf.corner[k][axis][lane] = static_cast<float>(from_center[axis]);
      low = low.cwiseMin(from_center);
      high = high.cwiseMax(from_center);
    }
    const Vector3d ab = b - a, ac = c - a, up = ab.cross(ac);
    const double longest =
        std::sqrt(std::max({ab.squaredNorm(), (c - b).squaredNorm(), ac.squaredNorm()}));
    const double height = longest > 0.0 ? up.norm() / longest : 0.0;
    // Rounding moves each corner by half a unit in the last place; a speck loses its shape by it,
    // and its normal is too small for single precision.
    const double moved = 6e-8 * static_cast<double>(tree_.radius);
    const bool plain = height >= kNeedle * longest && height > 64.0 * moved && height > 1e-6;
    leaf.slack[lane] = plain ? 0.0F : std::nextafter(rounded_up(height), HUGE_VALF);
    leaf.longest = std::max(leaf.longest, rounded_up(longest));
    if (plain) leaf.lean = std::max(leaf.lean, static_cast<float>(1e-4 + 8.0 * moved / height));
    const Vector3d unit = up.stableNormalized();
    return unit.isZero() ? Cone{} : Cone{unit, 0.0};
  }

  const Mesh& mesh_;
  SurfaceTree& tree_;
  TriangleHalver halver_;
};

}  // namespace

SurfaceTree build_surface_tree(const Mesh& mesh) {
  SurfaceTree tree;
  const Box box = bounding_box(mesh.vertices_mm);
  tree.center_mm = box.center_mm();
  tree.radius = rounded_up(0.5 * (box.high_mm - box.low_mm).maxCoeff());
  const Builder builder(mesh, tree);
  return tree;
}

}  // namespace trammel
