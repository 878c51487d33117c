#include "trammel/geometry/surface_index.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>
#include <vector>

#include "surface_tree.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

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

/// A run of candidates that lasts until the thread asks again.
struct Candidates {
  const wide::Candidate *first, *last;
  [[nodiscard]] const wide::Candidate* begin() const { return first; }
  [[nodiscard]] const wide::Candidate* end() const { return last; }
};

Candidates candidates(const wide::Tree& tree, const wide::Question& question) {
  static const wide::Search search = wide::best_search();
  thread_local std::vector<wide::Candidate> room(64);
  int count = search(tree, question, room.data(), static_cast<int>(room.size()));
  while (count < 0) {
    room.resize(2 * room.size());
    count = search(tree, question, room.data(), static_cast<int>(room.size()));
  }
  return {room.data(), room.data() + count};
}

/// The closest triangle so far. Two that share the edge or the corner that the foot lies on are as
/// near as each other but for rounding, and which of them it is told to be of must not rest on
/// that: the lowest is.
struct Nearest {
  double tie_mm;  ///< distances that differ by less are the same
  TriangleFoot foot;
  int triangle = -1;

  void meet(const TriangleFoot& other, int number) {
    if (!is_chosen(other, number)) return;
    foot = other;
    triangle = number;
  }

 private:
  [[nodiscard]] bool is_chosen(const TriangleFoot& other, int number) const {
    if (triangle < 0) return other.squared <= foot.squared;
    // Most are far from a tie; there is no need to ask exactly.
    if (other.squared > 1.001 * foot.squared + 5e6 * tie_mm * tie_mm) return false;
    const double tie = (2.0 * std::sqrt(other.squared) + tie_mm) * tie_mm;
    if (std::abs(other.squared - foot.squared) > tie) return other.squared < foot.squared;
    return number < triangle;
  }
};

/// Of the size of the numbers that a distance is made from.
constexpr double kTie = 1e-13;

SurfacePoint surface_point(const TriangleFoot& foot, int triangle) {
  return {foot.foot, std::sqrt(foot.squared), triangle, foot.feature};
}

}  // namespace

struct SurfaceIndex::Parts {
  Mesh mesh;
  SurfaceTree tree;
  EdgeNeighbours neighbours;
  Eigen::Matrix3Xd vertex_normals;
  std::vector<std::uint8_t> border_vertex;
  std::map<std::pair<int, int>, Vector3d> non_manifold_normals;  ///< by vertex pair; rare

  void find_borders();
  template <typename Filter>
  [[nodiscard]] SurfacePoint search(const Vector3d& p, double reach_mm, wide::Question question,
                                    const Filter& filter) const;
  [[nodiscard]] Vector3d edge_normal(int triangle, int edge) const;
};

void SurfaceIndex::Parts::find_borders() {
  border_vertex.assign(static_cast<std::size_t>(mesh.vertices_mm.cols()), 0);
  const auto has_no_neighbour = [&](std::size_t t) {
    return neighbours.across.col(static_cast<Index>(t)).minCoeff() < 0;
  };
  for (const Index t :
       indices_where(static_cast<std::size_t>(mesh.triangles.cols()), has_no_neighbour)) {
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

/// The closest of the candidates, in double precision.
template <typename Filter>
SurfacePoint SurfaceIndex::Parts::search(const Vector3d& p, double reach_mm,
                                         wide::Question question, const Filter& filter) const {
  const Vector3d relative = p - tree.center_mm;
  for (int k = 0; k < 3; ++k)
    question.point[k] = static_cast<float>(relative[k]);
  question.reach = std::nextafter(static_cast<float>(reach_mm), HUGE_VALF);
  const double size_mm = static_cast<double>(tree.radius) + relative.cwiseAbs().maxCoeff();
  Nearest best{kTie * size_mm, {Vector3d::Zero(), reach_mm * reach_mm, Feature::Face}};
  for (const wide::Candidate& candidate : candidates(tree.view(), question)) {
    const double least = static_cast<double>(candidate.least);
    if (least * least > best.foot.squared) continue;
    const EdgeTriangle triangle = edge_triangle(mesh, candidate.triangle);
    if (!filter.accepts(triangle)) continue;
    best.meet(is_needle(triangle) ? closest_on_any_triangle(triangle, p)
                                  : closest_on_plain_triangle(triangle, p),
              candidate.triangle);
  }
  return best.triangle < 0 ? SurfacePoint{} : surface_point(best.foot, best.triangle);
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
  const Mesh& kept = parts_->mesh;
  run_together({[&] { parts_->tree = build_surface_tree(kept); },
                [&] { parts_->neighbours = edge_neighbours(kept); },
                [&] { parts_->vertex_normals = angle_weighted_normals(kept); }});
  parts_->find_borders();
}

SurfaceIndex::~SurfaceIndex() = default;
SurfaceIndex::SurfaceIndex(SurfaceIndex&&) noexcept = default;
SurfaceIndex& SurfaceIndex::operator=(SurfaceIndex&&) noexcept = default;

const Mesh& SurfaceIndex::mesh() const {
  return parts_->mesh;
}

SurfacePoint SurfaceIndex::nearest(const Vector3d& point_mm, double reach_mm) const {
  return parts_->search(point_mm, reach_mm, {}, NoFilter{});
}

SurfacePoint SurfaceIndex::nearest_facing(const Vector3d& point_mm, const Vector3d& normal,
                                          double least_cosine, double reach_mm) const {
  wide::Question question{};
  question.filtered = true;
  question.unit = std::abs(normal.squaredNorm() - 1.0) < 1e-6;
  for (int k = 0; k < 3; ++k)
    question.normal[k] = static_cast<float>(normal[k]);
  question.least_cosine = static_cast<float>(least_cosine);
  return parts_->search(point_mm, reach_mm, question, FacingFilter{normal, least_cosine});
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

const EdgeNeighbours& SurfaceIndex::neighbours() const {
  return parts_->neighbours;
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

bool SurfaceIndex::has_border() const {
  const auto& border = parts_->border_vertex;
  return std::find(border.begin(), border.end(), 1) != border.end();
}

double no_farther_than_mm(const SurfacePoint& known, const Vector3d& point_mm) {
  if (!known.found()) return SurfaceIndex::kNoLimit;
  return (1.0 + 1e-6) * (point_mm - known.foot_mm).norm() + 1e-6;
}

SurfacePoint nearest_on_mesh(const Mesh& mesh, const Vector3d& point_mm) {
  const double size_mm = mesh.triangles.cols() == 0
                             ? 0.0
                             : (mesh.vertices_mm.colwise() - point_mm).cwiseAbs().maxCoeff();
  constexpr double kNone = std::numeric_limits<double>::infinity();
  Nearest best{kTie * size_mm, {Vector3d::Zero(), kNone, Feature::Face}};
  for (Index t = 0; t < mesh.triangles.cols(); ++t)
    best.meet(closest_on_any_triangle(edge_triangle(mesh, t), point_mm), static_cast<int>(t));
  return best.triangle < 0 ? SurfacePoint{} : surface_point(best.foot, best.triangle);
}

}  // namespace trammel
