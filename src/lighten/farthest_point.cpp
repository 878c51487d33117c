#include "trammel/lighten/farthest_point.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/closest_on_triangle.hpp"

namespace trammel {
namespace {

/// A flat convex piece of the surface.
using Piece = std::vector<Eigen::Vector3d>;

Eigen::Vector3d middle_of(const Piece& piece) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (const Eigen::Vector3d& p : piece)
    sum += p;
  return sum / static_cast<double>(piece.size());
}

/// The part of a piece where normal · p ≤ offset (or ≥, with `beyond`).
Piece cut(const Piece& piece, const Eigen::Vector3d& normal, double offset, bool beyond) {
  Piece kept;
  const double sign = beyond ? -1.0 : 1.0;
  for (std::size_t i = 0; i < piece.size(); ++i) {
    const Eigen::Vector3d &a = piece[i], &b = piece[i + 1 == piece.size() ? 0 : i + 1];
    const double in_a = sign * (offset - normal.dot(a)), in_b = sign * (offset - normal.dot(b));
    if (in_a >= 0.0) kept.push_back(a);
    if ((in_a > 0.0 && in_b < 0.0) || (in_a < 0.0 && in_b > 0.0))
      kept.push_back(a + (b - a) * (in_a / (in_a - in_b)));
  }
  return kept;
}

class PieceProver {
 public:
  PieceProver(const SurfaceIndex& to, double limit_mm) : to_(to), limit_(limit_mm) {}

  void prove(const Piece& piece, int depth) {
    if (piece.size() < 3 || found_.at_least_mm > limit_) return;  // nothing, or lost already
    const Eigen::Vector3d middle = middle_of(piece);
    const SurfacePoint foot = probe(middle);
    const double by_triangle = largest_distance(piece, foot.triangle);
    if (by_triangle <= limit_) return settle(by_triangle);
    double size = 0.0;
    for (const Eigen::Vector3d& p : piece)
      size = std::max(size, (p - middle).norm());
    const double by_size = foot.distance_mm + size;
    if (by_size <= limit_) return settle(by_size);
    if (depth >= kDeepest) return settle(std::min(by_triangle, by_size));
    // Of a piece that spans many triangles a cut along one of them leaves long shreds: halve it.
    const double edge = longest_side(foot.triangle);
    // A shred without width along a side is not changed by cuts along it, so halving takes turns.
    const bool by_halves = size > 1.5 * edge || depth % 3 == 2;
    if (by_halves || !cut_along(piece, foot.triangle, depth)) halve(piece, depth);
  }

  [[nodiscard]] const FarthestPoint& found() const { return found_; }

 private:
  /// Each cut or halving leaves less to prove: a guard against rounding, not a rule.
  static constexpr int kDeepest = 200;

  SurfacePoint probe(const Eigen::Vector3d& at) {
    ++found_.looked_up;
    SurfacePoint foot = to_.nearest(at, 2.0 * limit_);
    if (!foot.found()) foot = to_.nearest(at);  // beyond the limit: by how much?
    if (foot.distance_mm > found_.at_least_mm) {
      found_.at_least_mm = foot.distance_mm;
      found_.where_mm = at;
    }
    return foot;
  }

  void settle(double bound_mm) { found_.at_most_mm = std::max(found_.at_most_mm, bound_mm); }

  [[nodiscard]] Eigen::Vector3d corner(int triangle, int k) const {
    return to_.mesh().vertices_mm.col(to_.mesh().triangles(k, triangle));
  }

  [[nodiscard]] double longest_side(int triangle) const {
    const Eigen::Vector3d a = corner(triangle, 0), b = corner(triangle, 1), c = corner(triangle, 2);
    return std::max({(a - b).norm(), (b - c).norm(), (c - a).norm()});
  }

  [[nodiscard]] double largest_distance(const Piece& piece, int triangle) const {
    const Eigen::Vector3d a = corner(triangle, 0);
    const EdgeTriangle t{a, corner(triangle, 1) - a, corner(triangle, 2) - a};
    const bool needle = is_needle(t);
    double largest = 0.0;
    for (const Eigen::Vector3d& p : piece) {
      const TriangleFoot foot =
          needle ? closest_on_any_triangle(t, p) : closest_on_plain_triangle(t, p);
      largest = std::max(largest, foot.squared);
    }
    return std::sqrt(largest);
  }

  /// What lies over the triangle is bounded by it; what lies beyond each of its sides goes on.
  /// @return false where that does not get any further
  bool cut_along(const Piece& piece, int triangle, int depth) {
    const Eigen::Vector3d normal = to_.face_normal(triangle);
    if (normal.isZero()) return false;
    std::vector<Piece> beyond;
    Piece over = piece;
    for (int k = 0; k < 3 && over.size() >= 3; ++k) {
      const Eigen::Vector3d a = corner(triangle, k), b = corner(triangle, (k + 1) % 3);
      const Eigen::Vector3d out = (b - a).cross(normal).normalized();
      Piece outside = cut(over, out, out.dot(a), true);
      if (outside.size() >= 3) beyond.push_back(std::move(outside));
      over = cut(over, out, out.dot(a), false);
    }
    if (over.size() < 3 || beyond.empty()) return false;
    const double bound = largest_distance(over, triangle);
    if (bound <= limit_) {
      settle(bound);
    } else {
      halve(over, depth);
    }
    for (const Piece& part : beyond)
      prove(part, depth + 1);
    return true;
  }

  /// Across the longest way from corner to corner.
  void halve(const Piece& piece, int depth) {
    std::size_t from = 0, to = 1;
    double longest = -1.0;
    for (std::size_t i = 0; i < piece.size(); ++i)
      for (std::size_t k = i + 1; k < piece.size(); ++k) {
        const double length = (piece[i] - piece[k]).squaredNorm();
        if (length <= longest) continue;
        longest = length;
        from = i;
        to = k;
      }
    const Eigen::Vector3d along = (piece[to] - piece[from]).normalized();
    const double middle = 0.5 * along.dot(piece[to] + piece[from]);
    prove(cut(piece, along, middle, false), depth + 1);
    prove(cut(piece, along, middle, true), depth + 1);
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

}  // namespace

FarthestPoint farthest_point(const Mesh& from, const SurfaceIndex& to, double limit_mm) {
  TRAMMEL_CHECK(limit_mm > 0.0, "a proof needs a limit");
  TRAMMEL_CHECK(to.mesh().triangles.cols() > 0, "there is a surface to be near to");
  constexpr std::size_t kGrain = 256;
  const auto count = static_cast<std::size_t>(from.triangles.cols());
  std::vector<FarthestPoint> parts((count + kGrain - 1) / kGrain);
  for_each_chunk(count, kGrain, [&](std::size_t begin, std::size_t end) {
    PieceProver prover(to, limit_mm);
    for (std::size_t f = begin; f < end; ++f) {
      const Eigen::Vector3i t = from.triangles.col(static_cast<Eigen::Index>(f));
      prover.prove(
          {from.vertices_mm.col(t[0]), from.vertices_mm.col(t[1]), from.vertices_mm.col(t[2])}, 0);
    }
    parts[begin / kGrain] = prover.found();
  });
  FarthestPoint result;
  for (const FarthestPoint& part : parts)
    join(result, part);
  result.at_most_mm = std::max(result.at_most_mm, result.at_least_mm);
  result.proven = result.at_most_mm <= limit_mm;
  return result;
}

}  // namespace trammel
