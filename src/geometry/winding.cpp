#include "trammel/geometry/winding.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

/// 3 × #F: the only other triangle at each edge, or −1.
Eigen::Matrix3Xi triangles_across(const std::vector<EdgeUse>& uses, Eigen::Index count) {
  Eigen::Matrix3Xi across = Eigen::Matrix3Xi::Constant(3, count, -1);
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    if (last - first != 2) return;
    across(first[0].side(), first[0].triangle()) = first[1].triangle();
    across(first[1].side(), first[1].triangle()) = first[0].triangle();
  });
  return across;
}

struct Piece {
  std::vector<int> triangles;  ///< in the order they were reached
  bool closed = true;
  double volume_mm3 = 0.0;
  Box box;
};

bool run_same_way(const Eigen::Matrix3Xi& triangles, int a, int b) {
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      if (triangles(i, a) == triangles(j, b) &&
          triangles((i + 1) % 3, a) == triangles((j + 1) % 3, b)) {
        return true;
      }
    }
  }
  return false;
}

void turn(Eigen::Matrix3Xi& triangles, int triangle) {
  std::swap(triangles(1, triangle), triangles(2, triangle));
}

/// Walks one piece from `seed`; `against[t]` is set where t runs against the seed.
Piece walk_piece(const Mesh& mesh, const Eigen::Matrix3Xi& neighbours, int seed,
                 std::vector<int>& piece_of, int id, std::vector<bool>& against) {
  Piece piece;
  piece.triangles.push_back(seed);
  piece_of[static_cast<std::size_t>(seed)] = id;
  for (std::size_t next = 0; next < piece.triangles.size(); ++next) {
    const int t = piece.triangles[next];
    for (int k = 0; k < 3; ++k) {
      const int other = neighbours(k, t);
      if (other < 0 || piece_of[static_cast<std::size_t>(other)] >= 0) continue;
      piece_of[static_cast<std::size_t>(other)] = id;
      against[static_cast<std::size_t>(other)] =
          against[static_cast<std::size_t>(t)] != run_same_way(mesh.triangles, t, other);
      piece.triangles.push_back(other);
    }
  }
  return piece;
}

/// Turns the smaller part by area; equal areas: the part that holds fewer triangles, then the one
/// against the seed.
std::size_t turn_minority(Mesh& mesh, const Piece& piece, const std::vector<bool>& against) {
  const auto is_against = [&](int t) { return against[static_cast<std::size_t>(t)]; };
  const auto count_against = static_cast<std::size_t>(
      std::count_if(piece.triangles.begin(), piece.triangles.end(), is_against));
  if (count_against == 0) return 0;
  double area_with = 0.0, area_against = 0.0;
  for (const int t : piece.triangles)
    (is_against(t) ? area_against : area_with) += area_vector(mesh, t).norm();
  const bool turn_against =
      area_against < area_with ||
      (area_against == area_with && 2 * count_against <= piece.triangles.size());
  for (const int t : piece.triangles) {
    if (is_against(t) == turn_against) turn(mesh.triangles, t);
  }
  return turn_against ? count_against : piece.triangles.size() - count_against;
}

/// A piece is open when one of its edges is not run along as often forwards as backwards by it.
void find_open_pieces(const std::vector<EdgeUse>& uses, const std::vector<int>& piece_of,
                      std::vector<Piece>& pieces) {
  std::vector<std::pair<int, int>> runs;  // piece, +1 forwards or −1 backwards
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    runs.clear();
    for (const EdgeUse* use = first; use != last; ++use) {
      runs.emplace_back(piece_of[static_cast<std::size_t>(use->triangle())], use->forward ? 1 : -1);
    }
    std::sort(runs.begin(), runs.end());
    int balance = 0;
    for (std::size_t i = 0; i < runs.size(); ++i) {
      balance += runs[i].second;
      if (i + 1 < runs.size() && runs[i + 1].first == runs[i].first) continue;
      if (balance != 0) pieces[static_cast<std::size_t>(runs[i].first)].closed = false;
      balance = 0;
    }
  });
}

void measure(const Mesh& mesh, Piece& piece) {
  const Eigen::Vector3d origin = mesh.vertices_mm.col(mesh.triangles(0, piece.triangles.front()));
  piece.box = {origin, origin};
  for (const int t : piece.triangles) {
    piece.volume_mm3 +=
        area_vector(mesh, t).dot(mesh.vertices_mm.col(mesh.triangles(0, t)) - origin) / 6.0;
    for (int k = 0; k < 3; ++k) {
      const Eigen::Vector3d corner = mesh.vertices_mm.col(mesh.triangles(k, t));
      piece.box.low_mm = piece.box.low_mm.cwiseMin(corner);
      piece.box.high_mm = piece.box.high_mm.cwiseMax(corner);
    }
  }
}

/// Seen along x, the edge from `low` up to `high` (by y) passes on the −z side of p. Each edge is
/// asked the same way round by both its triangles: a ray through it never meets both or neither.
bool passes_below(const Eigen::Vector3d& low, const Eigen::Vector3d& high,
                  const Eigen::Vector3d& p) {
  return (high.y() - low.y()) * (p.z() - low.z()) - (high.z() - low.z()) * (p.y() - low.y()) > 0.0;
}

/// The ray from `p` along +x passes through the triangle. Edges count by the half-open rule.
bool ray_meets(const Mesh& mesh, int t, const Eigen::Vector3d& p) {
  const Eigen::Vector3d corner[3] = {mesh.vertices_mm.col(mesh.triangles(0, t)),
                                     mesh.vertices_mm.col(mesh.triangles(1, t)),
                                     mesh.vertices_mm.col(mesh.triangles(2, t))};
  bool inside = false;
  for (int k = 0; k < 3; ++k) {
    const Eigen::Vector3d &a = corner[k], &b = corner[(k + 1) % 3];
    const bool a_above = a.y() > p.y(), b_above = b.y() > p.y();
    if (a_above == b_above) continue;
    if (a_above ? passes_below(b, a, p) : passes_below(a, b, p)) inside = !inside;
  }
  if (!inside) return false;
  const Eigen::Vector3d normal = (corner[1] - corner[0]).cross(corner[2] - corner[0]);
  return normal.dot(corner[0] - p) * normal.x() > 0.0;
}

bool holds(const Mesh& mesh, const Piece& piece, const Eigen::Vector3d& p) {
  if (!piece.closed || (p.array() < piece.box.low_mm.array()).any() ||
      (p.array() > piece.box.high_mm.array()).any()) {
    return false;
  }
  const auto meets = ordered_sum(piece.triangles.size(), std::size_t{0}, [&](std::size_t i) {
    return ray_meets(mesh, piece.triangles[i], p) ? std::size_t{1} : std::size_t{0};
  });
  return meets % 2 == 1;
}

bool is_cavity(const Mesh& mesh, const std::vector<Piece>& pieces, const Piece& piece) {
  const Eigen::Vector3i corners = mesh.triangles.col(piece.triangles.front());
  const Eigen::Vector3d center =
      (mesh.vertices_mm.col(corners[0]) + mesh.vertices_mm.col(corners[1]) +
       mesh.vertices_mm.col(corners[2])) /
      3.0;
  std::size_t around = 0;
  for (const Piece& other : pieces)
    around += &other != &piece && holds(mesh, other, center) ? 1U : 0U;
  return around % 2 == 1;
}

}  // namespace

WindingRepair mend_winding(Mesh mesh) {
  auto uses = sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols());
  return mend_winding(std::move(mesh), std::move(uses));
}

WindingRepair mend_winding(Mesh mesh, std::vector<EdgeUse> uses) {
  WindingRepair repair;
  const Eigen::Index count = mesh.triangles.cols();
  const Eigen::Matrix3Xi neighbours = triangles_across(uses, count);
  std::vector<int> piece_of(static_cast<std::size_t>(count), -1);
  std::vector<bool> against(static_cast<std::size_t>(count), false);
  std::vector<Piece> pieces;
  for (int t = 0; t < static_cast<int>(count); ++t) {
    if (piece_of[static_cast<std::size_t>(t)] >= 0) continue;
    const int id = static_cast<int>(pieces.size());
    pieces.push_back(walk_piece(mesh, neighbours, t, piece_of, id, against));
    repair.turned_to_match += turn_minority(mesh, pieces.back(), against);
  }

  if (repair.turned_to_match > 0) uses = sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols());
  repair.left_mixed_edges = count_edges(uses).mixed_winding;
  find_open_pieces(uses, piece_of, pieces);
  for (Piece& piece : pieces)
    measure(mesh, piece);
  for (const Piece& piece : pieces) {
    // Rounding alone must not turn a flat piece; nested pieces are judged by where they lie, not by
    // how the ones around them are wound, so the order of turning does not matter.
    const double least_mm3 = 1e-12 * std::pow(piece.box.diagonal_mm(), 3);
    if (!piece.closed || piece.volume_mm3 >= -least_mm3 || is_cavity(mesh, pieces, piece)) continue;
    for (const int t : piece.triangles)
      turn(mesh.triangles, t);
    ++repair.pieces_turned_out;
    repair.triangles_turned_out += piece.triangles.size();
  }
  repair.mesh = std::move(mesh);
  return repair;
}

}  // namespace trammel
