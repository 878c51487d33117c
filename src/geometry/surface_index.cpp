#include "trammel/geometry/surface_index.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr std::uint32_t kLeafSize = 4;
constexpr std::uint32_t kLeafBit = 0x80000000U;
/// Subtrees of this many triangles are built side by side; fixed, so that the tree is always the
/// same.
constexpr std::uint32_t kParallelSize = 8192;

/// Box in single precision, rounded outwards: half the memory traffic, still conservative.
struct FloatBox {
  std::array<float, 3> low, high;

  [[nodiscard]] double squared_distance(const Vector3d& p) const {
    double sum = 0.0;
    for (int k = 0; k < 3; ++k) {
      const auto i = static_cast<std::size_t>(k);
      const double below = static_cast<double>(low[i]) - p[k];
      const double above = p[k] - static_cast<double>(high[i]);
      const double out = std::max({below, above, 0.0});
      sum += out * out;
    }
    return sum;
  }
};

float rounded_down(double value) {
  const auto near = static_cast<float>(value);
  return static_cast<double>(near) > value ? std::nextafter(near, -HUGE_VALF) : near;
}

float rounded_up(double value) {
  const auto near = static_cast<float>(value);
  return static_cast<double>(near) < value ? std::nextafter(near, HUGE_VALF) : near;
}

/// An inner node holds the boxes of its two children; a child is a node, or a run of triangles.
struct Node {
  std::array<FloatBox, 2> box;
  std::array<std::uint32_t, 2> child;  ///< node number, or kLeafBit | first triangle in tree order
  std::array<std::uint8_t, 2> count;   ///< triangles in a leaf child
};

/// Inner nodes of a subtree over n triangles: known beforehand, so subtrees can be filled in
/// parallel.
std::uint32_t node_count(std::uint32_t n) {
  if (n <= kLeafSize) return 0;
  const std::uint32_t left = n / 2;
  return 1 + node_count(left) + node_count(n - left);
}

struct FacingFilter {
  Vector3d normal;
  double least_cosine;
  [[nodiscard]] bool accepts(const EdgeTriangle& t) const {
    const Vector3d up = t.ab.cross(t.ac);
    const double along = up.dot(normal);
    return along >= least_cosine * up.norm() && up.squaredNorm() > 0.0;
  }
};

struct NoFilter {
  [[nodiscard]] static bool accepts(const EdgeTriangle&) { return true; }
};

EdgeTriangle edge_triangle(const Mesh& mesh, Index t) {
  const Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, t));
  const Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, t));
  const Vector3d c = mesh.vertices_mm.col(mesh.triangles(2, t));
  return {a, b - a, c - a};
}

SurfacePoint surface_point(const TriangleFoot& foot, int triangle) {
  return {foot.foot, std::sqrt(foot.squared), triangle, foot.feature};
}

}  // namespace

struct SurfaceIndex::Parts {
  Mesh mesh;
  std::vector<Node> nodes;
  std::vector<EdgeTriangle> triangles;  ///< in tree order
  std::vector<int> ids;                 ///< tree order → mesh triangle
  std::vector<std::uint8_t> needle;     ///< tree order
  EdgeNeighbours neighbours;
  Eigen::Matrix3Xd vertex_normals;
  std::vector<std::uint8_t> border_vertex;
  std::map<std::pair<int, int>, Vector3d> non_manifold_normals;  ///< by vertex pair; rare

  void build_tree();
  FloatBox build(std::vector<int>& order, const Eigen::Matrix3Xd& centers, std::uint32_t begin,
                 std::uint32_t end, std::uint32_t node);
  FloatBox build_child(std::vector<int>& order, const Eigen::Matrix3Xd& centers,
                       std::uint32_t begin, std::uint32_t end, std::uint32_t node,
                       std::uint32_t slot, std::uint32_t child_node);
  [[nodiscard]] FloatBox box_of(const std::vector<int>& order, std::uint32_t begin,
                                std::uint32_t end) const;
  void find_borders();
  template <typename Filter>
  [[nodiscard]] SurfacePoint search(const Vector3d& p, double reach_mm, const Filter& filter) const;
  [[nodiscard]] Vector3d edge_normal(int triangle, int edge) const;
};

void SurfaceIndex::Parts::build_tree() {
  const auto count = static_cast<std::size_t>(mesh.triangles.cols());
  Eigen::Matrix3Xd centers(3, mesh.triangles.cols());
  for_each_index(count, [&](std::size_t i) {
    const auto t = static_cast<Index>(i);
    const EdgeTriangle e = edge_triangle(mesh, t);
    const Vector3d b = e.a + e.ab, c = e.a + e.ac;
    centers.col(t) = 0.5 * (e.a.cwiseMin(b).cwiseMin(c) + e.a.cwiseMax(b).cwiseMax(c));
  });
  ids.resize(count);
  std::iota(ids.begin(), ids.end(), 0);
  const auto n = static_cast<std::uint32_t>(count);
  nodes.resize(std::max(1U, node_count(n)));
  if (n <= kLeafSize) {
    // A root with one leaf and one empty child that no query can reach.
    const float far = HUGE_VALF;
    nodes[0] = {{box_of(ids, 0, n), FloatBox{{far, far, far}, {far, far, far}}},
                {kLeafBit, kLeafBit},
                {static_cast<std::uint8_t>(n), 0}};
  } else {
    (void)build(ids, centers, 0, n, 0);
  }
  triangles.resize(count);
  needle.resize(count);
  for_each_index(count, [&](std::size_t i) {
    triangles[i] = edge_triangle(mesh, ids[i]);
    needle[i] = is_needle(triangles[i]) ? 1 : 0;
  });
}

FloatBox SurfaceIndex::Parts::box_of(const std::vector<int>& order, std::uint32_t begin,
                                     std::uint32_t end) const {
  Vector3d low = Vector3d::Constant(HUGE_VAL), high = -low;
  for (std::uint32_t i = begin; i < end; ++i) {
    for (int k = 0; k < 3; ++k) {
      const Vector3d v = mesh.vertices_mm.col(mesh.triangles(k, order[i]));
      low = low.cwiseMin(v);
      high = high.cwiseMax(v);
    }
  }
  return {{rounded_down(low[0]), rounded_down(low[1]), rounded_down(low[2])},
          {rounded_up(high[0]), rounded_up(high[1]), rounded_up(high[2])}};
}

/// Halves the run at the median centre along the widest axis of centres; ties by triangle number.
FloatBox SurfaceIndex::Parts::build(std::vector<int>& order, const Eigen::Matrix3Xd& centers,
                                    std::uint32_t begin, std::uint32_t end, std::uint32_t node) {
  Vector3d low = Vector3d::Constant(HUGE_VAL), high = -low;
  for (std::uint32_t i = begin; i < end; ++i) {
    low = low.cwiseMin(centers.col(order[i]));
    high = high.cwiseMax(centers.col(order[i]));
  }
  Index axis = 0;
  (high - low).maxCoeff(&axis);
  const std::uint32_t middle = begin + (end - begin) / 2;
  std::nth_element(order.begin() + begin, order.begin() + middle, order.begin() + end,
                   [&](int s, int t) {
                     const double x = centers(axis, s), y = centers(axis, t);
                     return x < y || (x == y && s < t);
                   });
  const std::uint32_t first_child = node + 1;
  const std::uint32_t second_child = first_child + node_count(middle - begin);
  const auto run = [&](std::size_t slot) {
    const auto s = static_cast<std::uint32_t>(slot);
    nodes[node].box[slot] = s == 0
                                ? build_child(order, centers, begin, middle, node, s, first_child)
                                : build_child(order, centers, middle, end, node, s, second_child);
  };
  if (end - begin > kParallelSize) {
    for_each_index(2, run, 1);
  } else {
    run(0);
    run(1);
  }
  FloatBox both{};
  for (std::size_t k = 0; k < 3; ++k) {
    both.low[k] = std::min(nodes[node].box[0].low[k], nodes[node].box[1].low[k]);
    both.high[k] = std::max(nodes[node].box[0].high[k], nodes[node].box[1].high[k]);
  }
  return both;
}

FloatBox SurfaceIndex::Parts::build_child(std::vector<int>& order, const Eigen::Matrix3Xd& centers,
                                          std::uint32_t begin, std::uint32_t end,
                                          std::uint32_t node, std::uint32_t slot,
                                          std::uint32_t child_node) {
  const std::uint32_t count = end - begin;
  if (count <= kLeafSize) {
    nodes[node].child[slot] = kLeafBit | begin;
    nodes[node].count[slot] = static_cast<std::uint8_t>(count);
    return box_of(order, begin, end);
  }
  nodes[node].child[slot] = child_node;
  nodes[node].count[slot] = 0;
  return build(order, centers, begin, end, child_node);
}

void SurfaceIndex::Parts::find_borders() {
  neighbours = edge_neighbours(mesh);
  vertex_normals = angle_weighted_normals(mesh);
  border_vertex.assign(static_cast<std::size_t>(mesh.vertices_mm.cols()), 0);
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    for (int k = 0; k < 3; ++k) {
      const int u = mesh.triangles(k, t), v = mesh.triangles((k + 1) % 3, t);
      if (neighbours.across(k, t) == EdgeNeighbours::kBorder) {
        border_vertex[static_cast<std::size_t>(u)] = 1;
        border_vertex[static_cast<std::size_t>(v)] = 1;
      } else if (neighbours.across(k, t) == EdgeNeighbours::kNonManifold) {
        const auto key = std::minmax(u, v);
        auto at = non_manifold_normals.try_emplace(key, Vector3d::Zero()).first;
        at->second += area_vector(mesh, t).stableNormalized();
      }
    }
  }
}

template <typename Filter>
SurfacePoint SurfaceIndex::Parts::search(const Vector3d& p, double reach_mm,
                                         const Filter& filter) const {
  struct Waiting {
    double squared;
    std::uint32_t child;
    std::uint8_t count;
  };
  std::array<Waiting, 128> stack;  // depth is at most 2 · log2(#F) + 2
  std::size_t depth = 0;
  TriangleFoot best{Vector3d::Zero(), reach_mm * reach_mm, Feature::Face};
  int best_id = -1;
  const auto try_leaf = [&](std::uint32_t first, std::uint8_t count) {
    for (std::uint32_t i = first; i < first + count; ++i) {
      if (!filter.accepts(triangles[i])) continue;
      const TriangleFoot foot = needle[i] != 0 ? closest_on_any_triangle(triangles[i], p)
                                               : closest_on_plain_triangle(triangles[i], p);
      const bool nearer = foot.squared < best.squared ||
                          (foot.squared == best.squared && (best_id < 0 || ids[i] < best_id));
      if (nearer) {
        best = foot;
        best_id = ids[i];
      }
    }
  };
  std::uint32_t current = 0;
  for (;;) {
    const Node& node = nodes[current];
    std::array<Waiting, 2> children{};
    for (std::size_t s = 0; s < 2; ++s) {
      children[s] = {node.box[s].squared_distance(p), node.child[s], node.count[s]};
    }
    if (children[1].squared < children[0].squared) std::swap(children[0], children[1]);
    if (children[1].squared <= best.squared) stack[depth++] = children[1];
    if (children[0].squared <= best.squared) stack[depth++] = children[0];
    bool descend = false;
    while (depth > 0 && !descend) {
      const Waiting next = stack[--depth];
      if (next.squared > best.squared) continue;
      if ((next.child & kLeafBit) != 0) {
        try_leaf(next.child & ~kLeafBit, next.count);
      } else {
        current = next.child;
        descend = true;
      }
    }
    if (!descend) break;
  }
  return best_id < 0 ? SurfacePoint{} : surface_point(best, best_id);
}

Vector3d SurfaceIndex::Parts::edge_normal(int triangle, int edge) const {
  const Vector3d own = area_vector(mesh, triangle).stableNormalized();
  const int other = neighbours.across(edge, triangle);
  if (other >= 0) return own + area_vector(mesh, other).stableNormalized();
  if (other == EdgeNeighbours::kBorder) return own;
  const auto key =
      std::minmax(mesh.triangles(edge, triangle), mesh.triangles((edge + 1) % 3, triangle));
  return non_manifold_normals.at(key);
}

SurfaceIndex::SurfaceIndex(Mesh mesh) : parts_(std::make_unique<Parts>()) {
  check_mesh(mesh);
  TRAMMEL_CHECK(mesh.triangles.cols() > 0, "a surface index needs at least one triangle");
  parts_->mesh = std::move(mesh);
  parts_->build_tree();
  parts_->find_borders();
}

SurfaceIndex::~SurfaceIndex() = default;
SurfaceIndex::SurfaceIndex(SurfaceIndex&&) noexcept = default;
SurfaceIndex& SurfaceIndex::operator=(SurfaceIndex&&) noexcept = default;

const Mesh& SurfaceIndex::mesh() const {
  return parts_->mesh;
}

SurfacePoint SurfaceIndex::nearest(const Vector3d& point_mm, double reach_mm) const {
  return parts_->search(point_mm, reach_mm, NoFilter{});
}

SurfacePoint SurfaceIndex::nearest_facing(const Vector3d& point_mm, const Vector3d& normal,
                                          double least_cosine, double reach_mm) const {
  return parts_->search(point_mm, reach_mm, FacingFilter{normal, least_cosine});
}

Vector3d SurfaceIndex::face_normal(int triangle) const {
  return area_vector(parts_->mesh, triangle).stableNormalized();
}

Vector3d SurfaceIndex::pseudonormal(const SurfacePoint& at) const {
  const int code = static_cast<int>(at.feature);
  if (at.feature == Feature::Face) return face_normal(at.triangle);
  const bool is_edge = code < static_cast<int>(Feature::Vertex0);
  const Vector3d sum =
      is_edge ? parts_->edge_normal(at.triangle, code - static_cast<int>(Feature::Edge0))
              : Vector3d(parts_->vertex_normals.col(parts_->mesh.triangles(
                    code - static_cast<int>(Feature::Vertex0), at.triangle)));
  return sum.stableNormalized();
}

double SurfaceIndex::signed_distance(const Vector3d& point_mm, const SurfacePoint& at) const {
  const double side = pseudonormal(at).dot(point_mm - at.foot_mm);
  return side < 0.0 ? -at.distance_mm : at.distance_mm;
}

bool SurfaceIndex::on_border(const SurfacePoint& at) const {
  const int code = static_cast<int>(at.feature);
  if (at.feature == Feature::Face) return false;
  if (code < static_cast<int>(Feature::Vertex0)) {
    const int edge = code - static_cast<int>(Feature::Edge0);
    return parts_->neighbours.across(edge, at.triangle) == EdgeNeighbours::kBorder;
  }
  const int corner = code - static_cast<int>(Feature::Vertex0);
  return parts_->border_vertex[static_cast<std::size_t>(
             parts_->mesh.triangles(corner, at.triangle))] != 0;
}

SurfacePoint nearest_on_mesh(const Mesh& mesh, const Vector3d& point_mm) {
  SurfacePoint best;
  double least = std::numeric_limits<double>::infinity();
  for (Index t = 0; t < mesh.triangles.cols(); ++t) {
    const TriangleFoot foot = closest_on_any_triangle(edge_triangle(mesh, t), point_mm);
    if (foot.squared < least) {
      least = foot.squared;
      best = surface_point(foot, static_cast<int>(t));
    }
  }
  return best;
}

}  // namespace trammel
