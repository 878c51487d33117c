#include "trammel/lighten/farthest_point.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/closest_on_triangle.hpp"

namespace trammel {
namespace {

/// A point of the surface and what lies nearest to it.
struct Probe {
  Eigen::Vector3d at;
  double distance_mm;
  int triangle;  ///< −1: nothing within the reach
};

class PieceProver {
 public:
  PieceProver(const SurfaceIndex& to, double limit_mm) : to_(to), limit_(limit_mm) {}

  [[nodiscard]] Probe probe(const Eigen::Vector3d& at) {
    ++found_.looked_up;
    // Twice the limit is far enough to tell that it is exceeded; from there on look all over.
    SurfacePoint foot = to_.nearest(at, 2.0 * limit_);
    if (!foot.found()) foot = to_.nearest(at);
    note(at, foot.distance_mm);
    return {at, foot.distance_mm, foot.triangle};
  }

  void prove(const Probe& a, const Probe& b, const Probe& c, int depth) {
    if (found_.at_least_mm > limit_) return;  // lost already
    const double bound = std::min(bound_by_one_triangle(a, b, c), bound_by_size(a, b, c));
    if (bound <= limit_ || depth >= kDeepest) {
      found_.at_most_mm = std::max(found_.at_most_mm, bound);
      return;
    }
    const Probe ab = probe(0.5 * (a.at + b.at)), bc = probe(0.5 * (b.at + c.at)),
                ca = probe(0.5 * (c.at + a.at));
    prove(a, ab, ca, depth + 1);
    prove(ab, b, bc, depth + 1);
    prove(ca, bc, c, depth + 1);
    prove(ab, bc, ca, depth + 1);
  }

  [[nodiscard]] const FarthestPoint& found() const { return found_; }

 private:
  static constexpr int kDeepest = 14;

  void note(const Eigen::Vector3d& at, double distance_mm) {
    if (distance_mm <= found_.at_least_mm) return;
    found_.at_least_mm = distance_mm;
    found_.where_mm = at;
  }

  [[nodiscard]] double distance_to(const Eigen::Vector3d& p, int triangle) const {
    const Mesh& mesh = to_.mesh();
    const Eigen::Vector3i t = mesh.triangles.col(triangle);
    const Eigen::Vector3d a = mesh.vertices_mm.col(t[0]);
    const EdgeTriangle edges{a, mesh.vertices_mm.col(t[1]) - a, mesh.vertices_mm.col(t[2]) - a};
    const TriangleFoot foot =
        is_needle(edges) ? closest_on_any_triangle(edges, p) : closest_on_plain_triangle(edges, p);
    return std::sqrt(foot.squared);
  }

  [[nodiscard]] double bound_by_one_triangle(const Probe& a, const Probe& b, const Probe& c) const {
    double best = std::numeric_limits<double>::infinity();
    for (const int triangle : {a.triangle, b.triangle, c.triangle}) {
      const double da = triangle == a.triangle ? a.distance_mm : distance_to(a.at, triangle);
      if (da >= best) continue;
      const double db = triangle == b.triangle ? b.distance_mm : distance_to(b.at, triangle);
      const double dc = triangle == c.triangle ? c.distance_mm : distance_to(c.at, triangle);
      best = std::min(best, std::max({da, db, dc}));
    }
    return best;
  }

  /// Every point lies no farther from a corner than the longest edge over √3 (the circle about an
  /// equilateral triangle is the worst one).
  [[nodiscard]] static double bound_by_size(const Probe& a, const Probe& b, const Probe& c) {
    const double longest =
        std::max({(a.at - b.at).norm(), (b.at - c.at).norm(), (c.at - a.at).norm()});
    return std::max({a.distance_mm, b.distance_mm, c.distance_mm}) + longest / std::sqrt(3.0);
  }

  const SurfaceIndex& to_;
  double limit_;
  FarthestPoint found_;
};

void join(FarthestPoint& sum, const FarthestPoint& part) {
  if (part.at_least_mm > sum.at_least_mm) {
    sum.at_least_mm = part.at_least_mm;
    sum.where_mm = part.where_mm;
  }
  sum.at_most_mm = std::max(sum.at_most_mm, part.at_most_mm);
  sum.looked_up += part.looked_up;
}

/// The vertices alone: most that is wrong shows there, and every triangle needs them.
std::vector<Probe> probe_vertices(const Mesh& from, const SurfaceIndex& to, double limit_mm) {
  std::vector<Probe> probes(static_cast<std::size_t>(from.vertices_mm.cols()));
  for_each_index(probes.size(), [&](std::size_t i) {
    probes[i] = PieceProver(to, limit_mm).probe(from.vertices_mm.col(static_cast<Eigen::Index>(i)));
  });
  return probes;
}

}  // namespace

FarthestPoint farthest_point(const Mesh& from, const SurfaceIndex& to, double limit_mm) {
  TRAMMEL_CHECK(limit_mm > 0.0, "a proof needs a limit");
  TRAMMEL_CHECK(to.mesh().triangles.cols() > 0, "there is a surface to be near to");
  FarthestPoint result;
  const std::vector<Probe> probes = probe_vertices(from, to, limit_mm);
  result.looked_up = probes.size();
  for (Eigen::Index f = 0; f < from.triangles.size(); ++f) {
    const Probe& p = probes[static_cast<std::size_t>(from.triangles(f % 3, f / 3))];
    if (p.distance_mm > result.at_least_mm) {
      result.at_least_mm = p.distance_mm;
      result.where_mm = p.at;
    }
  }
  if (result.at_least_mm <= limit_mm) {
    constexpr std::size_t kGrain = 256;
    const auto count = static_cast<std::size_t>(from.triangles.cols());
    std::vector<FarthestPoint> parts((count + kGrain - 1) / kGrain);
    for_each_chunk(count, kGrain, [&](std::size_t begin, std::size_t end) {
      PieceProver prover(to, limit_mm);
      for (std::size_t f = begin; f < end; ++f) {
        const Eigen::Vector3i t = from.triangles.col(static_cast<Eigen::Index>(f));
        const auto at = [&](int k) { return probes[static_cast<std::size_t>(t[k])]; };
        prover.prove(at(0), at(1), at(2), 0);
      }
      parts[begin / kGrain] = prover.found();
    });
    for (const FarthestPoint& part : parts)
      join(result, part);
  }
  result.at_most_mm = std::max(result.at_most_mm, result.at_least_mm);
  result.proven = result.at_most_mm <= limit_mm;
  return result;
}

}  // namespace trammel
