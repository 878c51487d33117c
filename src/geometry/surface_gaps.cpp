#include "trammel/geometry/surface_gaps.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "trammel/base/constants.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kFarOff = 3.0;

struct BorderEdge {
  int from, to;
};

/// Each as often as more triangles run along it one way than the other.
std::vector<BorderEdge> border_edges(const Mesh& mesh) {
  std::vector<BorderEdge> out;
  const auto uses = sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols());
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    const auto forward = std::count_if(first, last, [](const EdgeUse& use) { return use.forward; });
    const auto surplus = 2 * forward - (last - first);
    const BorderEdge edge =
        surplus > 0 ? BorderEdge{first->low, first->high} : BorderEdge{first->high, first->low};
    out.insert(out.end(), static_cast<std::size_t>(std::abs(surplus)), edge);
  });
  return out;
}

/// For each vertex one that stands for all that its border edges lead to.
class Groups {
 public:
  explicit Groups(Eigen::Index vertices) : parent_(static_cast<std::size_t>(vertices)) {
    std::iota(parent_.begin(), parent_.end(), 0);
  }
  int of(int vertex) {
    while (at(vertex) != vertex)
      vertex = at(vertex) = at(at(vertex));
    return vertex;
  }
  void join(const BorderEdge& edge) { at(of(edge.from)) = of(edge.to); }

 private:
  int& at(int vertex) { return parent_[static_cast<std::size_t>(vertex)]; }
  std::vector<int> parent_;
};

/// Solid angle of a triangle, signed [Van Oosterom & Strackee 1983, doi:10.1109/TBME.1983.325207].
double solid_angle(const Vector3d& a, const Vector3d& b, const Vector3d& c) {
  const double la = a.norm(), lb = b.norm(), lc = c.norm();
  const double below = la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb;
  return 2.0 * std::atan2(a.dot(b.cross(c)), below);
}

}  // namespace

SurfaceGaps::SurfaceGaps(const Mesh& mesh) {
  const std::vector<BorderEdge> edges = border_edges(mesh);
  Groups groups(mesh.vertices_mm.cols());
  for (const BorderEdge& edge : edges)
    groups.join(edge);
  std::map<int, std::vector<Vector3d>> by_group;
  for (const BorderEdge& edge : edges) {
    std::vector<Vector3d>& ends = by_group[groups.of(edge.from)];
    ends.emplace_back(mesh.vertices_mm.col(edge.from));
    ends.emplace_back(mesh.vertices_mm.col(edge.to));
  }
  for (auto& [group, ends] : by_group) {
    const Vector3d center = std::accumulate(ends.begin(), ends.end(), Vector3d(0, 0, 0)) /
                            static_cast<double>(ends.size());
    double radius_mm = 0.0;
    for (const Vector3d& end : ends)
      radius_mm = std::max(radius_mm, (end - center).norm());
    gaps_.push_back({center, radius_mm, std::move(ends)});
  }
}

double SurfaceGaps::doubt_of_side(const Vector3d& p) const {
  double angle = 0.0;
  for (const Gap& gap : gaps_) {
    const Vector3d center = gap.center_mm - p;
    if (center.norm() > kFarOff * gap.radius_mm) continue;
    for (std::size_t i = 0; i < gap.edges_mm.size(); i += 2)
      angle += solid_angle(center, gap.edges_mm[i] - p, gap.edges_mm[i + 1] - p);
  }
  const double turns = angle / (4.0 * kPi);
  return std::abs(turns - std::round(turns));
}

}  // namespace trammel
