#include "trammel/lighten/pieces.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <queue>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Normals that differ by this much (17°) count a neighbour 0.6 of one that looks alike; a right
/// angle counts nothing.
constexpr double kAlike = 0.3;

std::vector<Mesh> meshes_of(const Mesh& mesh, const std::vector<int>& piece, int count) {
  std::vector<std::vector<Index>> members(static_cast<std::size_t>(count));
  for (std::size_t f = 0; f < piece.size(); ++f)
    members[static_cast<std::size_t>(piece[f])].push_back(static_cast<Index>(f));
  std::stable_sort(members.begin(), members.end(),
                   [](const auto& a, const auto& b) { return a.size() > b.size(); });
  std::vector<Mesh> out;
  for (const auto& triangles : members)
    if (!triangles.empty()) out.push_back(compacted(mesh, mesh.triangles(Eigen::all, triangles)));
  return out;
}

/// The faces of one mesh, as they come to be.
class Creases {
 public:
  Creases(const Mesh& mesh, const CreaseSettings& settings)
      : mesh_(mesh),
        settings_(settings),
        across_(edge_neighbours(mesh).across),
        normals_(3, mesh.triangles.cols()),
        area_mm2_(mesh.triangles.cols()) {
    for (Index f = 0; f < mesh.triangles.cols(); ++f) {
      const Vector3d twice = area_vector(mesh, f);
      area_mm2_[f] = 0.5 * twice.norm();
      normals_.col(f) = twice.normalized();
    }
  }

  void smooth_normals() {
    const double narrow = 0.5 / (kAlike * kAlike);
    for (int pass = 0; pass < settings_.passes; ++pass) {
      const Eigen::Matrix3Xd before = normals_;
      for_each_index(static_cast<std::size_t>(before.cols()), [&](std::size_t i) {
        const auto f = static_cast<Index>(i);
        Vector3d sum = area_mm2_[f] * before.col(f);
        for (int k = 0; k < 3; ++k) {
          const int other = across_(k, f);
          if (other < 0) continue;
          const double off = (before.col(other) - before.col(f)).squaredNorm();
          sum += area_mm2_[other] * std::exp(-narrow * off) * before.col(other);
        }
        if (sum.squaredNorm() > 0.0) normals_.col(f) = sum.normalized();
      });
    }
  }

  /// Numbers the faces from 0; triangles of one are reached from each other over no crease.
  void cut() {
    const double least_cosine = std::cos(settings_.least_angle_rad);
    piece_.assign(static_cast<std::size_t>(mesh_.triangles.cols()), -1);
    for (std::size_t seed = 0; seed < piece_.size(); ++seed) {
      if (piece_[seed] >= 0) continue;
      const int number = static_cast<int>(piece_area_mm2_.size());
      piece_area_mm2_.push_back(0.0);
      std::vector<int> walk(1, static_cast<int>(seed));
      piece_[seed] = number;
      for (std::size_t next = 0; next < walk.size(); ++next) {
        const int f = walk[next];
        piece_area_mm2_.back() += area_mm2_[f];
        for (int k = 0; k < 3; ++k) {
          const int other = across_(k, f);
          if (other < 0 || piece_[static_cast<std::size_t>(other)] >= 0) continue;
          if (normals_.col(f).dot(normals_.col(other)) < least_cosine) continue;
          piece_[static_cast<std::size_t>(other)] = number;
          walk.push_back(other);
        }
      }
    }
  }

  /// Smallest first, so that crumbs join to one another before they join a face.
  void join_small() {
    std::vector<std::map<int, double>> border = shared_borders_mm();
    using Entry = std::pair<double, int>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> small;
    const double least_mm2 = settings_.least_share * area_mm2_.sum();
    std::vector<int> into(border.size());
    for (std::size_t p = 0; p < into.size(); ++p) {
      into[p] = static_cast<int>(p);
      if (piece_area_mm2_[p] < least_mm2) small.emplace(piece_area_mm2_[p], into[p]);
    }
    while (!small.empty()) {
      const auto [area_mm2, piece] = small.top();
      small.pop();
      const auto p = static_cast<std::size_t>(piece);
      const bool is_stale = into[p] != piece || piece_area_mm2_[p] > area_mm2;
      if (is_stale || border[p].empty()) continue;
      const auto longest = std::max_element(
          border[p].begin(), border[p].end(),
          [](const auto& one, const auto& other) { return one.second < other.second; });
      into[p] = longest->first;
      const auto t = static_cast<std::size_t>(into[p]);
      piece_area_mm2_[t] += area_mm2;
      hand_over(border, piece, into[p]);
      if (piece_area_mm2_[t] < least_mm2) small.emplace(piece_area_mm2_[t], into[p]);
    }
    for (int& piece : piece_)
      while (into[static_cast<std::size_t>(piece)] != piece)
        piece = into[static_cast<std::size_t>(piece)];
  }

  [[nodiscard]] std::vector<Mesh> faces() const {
    return meshes_of(mesh_, piece_, static_cast<int>(piece_area_mm2_.size()));
  }

 private:
  /// Of each piece, by the other that it borders on.
  [[nodiscard]] std::vector<std::map<int, double>> shared_borders_mm() const {
    std::vector<std::map<int, double>> border(piece_area_mm2_.size());
    for (Index f = 0; f < mesh_.triangles.cols(); ++f) {
      const Eigen::Vector3i t = mesh_.triangles.col(f);
      const int own = piece_[static_cast<std::size_t>(f)];
      for (int k = 0; k < 3; ++k) {
        if (across_(k, f) < 0) continue;
        const int other = piece_[static_cast<std::size_t>(across_(k, f))];
        if (other != own)
          border[static_cast<std::size_t>(own)][other] +=
              (mesh_.vertices_mm.col(t[(k + 1) % 3]) - mesh_.vertices_mm.col(t[k])).norm();
      }
    }
    return border;
  }

  static void hand_over(std::vector<std::map<int, double>>& border, int from, int to) {
    for (const auto& [other, length_mm] : border[static_cast<std::size_t>(from)]) {
      auto& of_other = border[static_cast<std::size_t>(other)];
      of_other.erase(from);
      if (other == to) continue;
      of_other[to] += length_mm;
      border[static_cast<std::size_t>(to)][other] += length_mm;
    }
  }

  const Mesh& mesh_;
  CreaseSettings settings_;
  Eigen::Matrix3Xi across_;
  Eigen::Matrix3Xd normals_;
  Eigen::VectorXd area_mm2_;
  std::vector<int> piece_;
  std::vector<double> piece_area_mm2_;
};

}  // namespace

Mesh compacted(const Mesh& mesh, const Eigen::Matrix3Xi& triangles) {
  std::vector<int> number(static_cast<std::size_t>(mesh.vertices_mm.cols()), -1);
  for (Index i = 0; i < triangles.size(); ++i)
    number[static_cast<std::size_t>(triangles(i % 3, i / 3))] = 0;
  Mesh out;
  out.name = mesh.name;
  out.vertices_mm.resize(3, std::count(number.begin(), number.end(), 0));
  int next = 0;
  for (std::size_t i = 0; i < number.size(); ++i) {
    if (number[i] < 0) continue;
    out.vertices_mm.col(next) = mesh.vertices_mm.col(static_cast<Index>(i));
    number[i] = next++;
  }
  out.triangles = triangles.unaryExpr([&](int v) { return number[static_cast<std::size_t>(v)]; });
  return out;
}

std::vector<Mesh> connected_pieces(const Mesh& mesh) {
  const Pieces pieces = pieces_by_edges(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols()),
                                        mesh.triangles.cols());
  return meshes_of(mesh, pieces.piece, pieces.count);
}

std::vector<Mesh> smooth_pieces(const Mesh& mesh, const CreaseSettings& settings) {
  Creases creases(mesh, settings);
  creases.smooth_normals();
  creases.cut();
  creases.join_small();
  return creases.faces();
}

}  // namespace trammel
