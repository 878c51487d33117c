#include "trammel/geometry/seen_from_outside.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "trammel/base/directions.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel {
namespace {

constexpr double kCellShare = 1.0 / 60.0;                 // of the diagonal
constexpr double kLeastHidden = 0.01, kMostHidden = 0.7;  // of the area
constexpr int kDirections = 400;                          // over the sphere, some 10° apart
constexpr std::size_t kSpeakers = 3;
constexpr double kPlaceFlatness = 32.0;  // edges of a place over its height

bool is_seen(const SurfaceRays& rays, const Mesh& mesh, const SurfaceCells& cells,
             Eigen::Index cell, const std::vector<Eigen::Vector3d>& directions) {
  constexpr double kLeastRise = 0.03;
  constexpr std::array<double, 2> kRises{0.03, 0.1};  // tangents of 2° and 6°
  const Eigen::Vector3d at = cells.center_mm.col(cell), normal = cells.normal.col(cell);
  if (rays.is_clear(at, normal, normal)) return true;
  for (const Eigen::Vector3d& direction : directions)
    if (direction.dot(normal) > kLeastRise && rays.is_clear(at, normal, direction)) return true;
  const auto corner = [&](int k) -> Eigen::Vector3d {
    return mesh.vertices_mm.col(mesh.triangles(k % 3, cells.triangle[cell]));
  };
  for (int k = 0; k < 3; ++k) {
    const Eigen::Vector3d edge = (corner(k + 1) - corner(k)).normalized();
    for (const double rise : kRises)
      for (const double sense : {1.0, -1.0})
        if (rays.is_clear(at, normal, (sense * edge + rise * normal).normalized())) return true;
  }
  return false;
}

using Member = std::pair<std::uint64_t, Eigen::Index>;  ///< place, cell

/// Cells by the place they lie in and the way they face. Places are flat: the upper faces of two
/// sheets are two.
std::vector<Member> by_place(const SurfaceCells& cells, double edge_mm) {
  const Eigen::Vector3d corner = cells.center_mm.rowwise().minCoeff();
  std::vector<Member> members(static_cast<std::size_t>(cells.size()));
  for_each_index(members.size(), [&](std::size_t i) {
    const auto c = static_cast<Eigen::Index>(i);
    Eigen::Index axis = 0;
    cells.normal.col(c).cwiseAbs().maxCoeff(&axis);
    auto key = static_cast<std::uint64_t>(axis + (cells.normal(axis, c) < 0.0 ? 3 : 0));
    for (Eigen::Index k = 0; k < 3; ++k) {
      const double steps = (cells.center_mm(k, c) - corner[k]) / edge_mm;
      key = (key << 16U) + static_cast<std::uint64_t>(k == axis ? steps * kPlaceFlatness : steps);
    }
    members[i] = {key, c};
  });
  std::sort(members.begin(), members.end());
  return members;
}

/// Where each place begins, and where the last ends.
std::vector<std::size_t> borders_of(const std::vector<Member>& members) {
  std::vector<std::size_t> borders;
  for (std::size_t i = 0; i < members.size(); ++i)
    if (i == 0 || members[i].first != members[i - 1].first) borders.push_back(i);
  borders.push_back(members.size());
  return borders;
}

}  // namespace

std::vector<std::uint8_t> cells_seen_from_outside(const Mesh& mesh, const SurfaceCells& cells) {
  std::vector<std::uint8_t> seen(static_cast<std::size_t>(cells.size()), 0);
  if (cells.size() == 0) return seen;
  const auto rays = rays_of(cells);
  const auto directions = spread_directions(kDirections);
  const auto members =
      by_place(cells, std::max(1e-9, kCellShare * bounding_box(mesh.vertices_mm).diagonal_mm()));
  const auto borders = borders_of(members);
  for_each_index(
      borders.size() - 1,
      [&](std::size_t g) {
        const std::size_t begin = borders[g], end = borders[g + 1];
        const std::size_t step = (end - begin + kSpeakers - 1) / kSpeakers;
        bool any = false;
        for (std::size_t i = begin; i < end && !(any && step > 1); i += step) {
          const Eigen::Index cell = members[i].second;
          const bool is_open = is_seen(*rays, mesh, cells, cell, directions);
          seen[static_cast<std::size_t>(cell)] = is_open ? 1 : 0;
          any = any || is_open;
        }
        if (step == 1 || !any) return;
        for (std::size_t i = begin; i < end; ++i)
          seen[static_cast<std::size_t>(members[i].second)] = 1;
      },
      64);
  return seen;
}

std::optional<Mesh> seen_from_outside(const Mesh& mesh, const SurfaceCells* uncut) {
  const double diagonal_mm = bounding_box(mesh.vertices_mm).diagonal_mm();
  if (!(diagonal_mm > 0.0)) return std::nullopt;
  const double edge_mm = kCellShare * diagonal_mm;
  SurfaceCells own;
  if (has_edge_longer_than(edge_mm, mesh)) {
    own = CellTree(mesh, edge_mm).take_cells();
    uncut = nullptr;
  } else if (uncut == nullptr) {
    own = triangles_as_cells(mesh);
  }
  const SurfaceCells& cells = uncut == nullptr ? own : *uncut;
  const auto seen = cells_seen_from_outside(mesh, cells);

  double hidden_mm2 = 0.0;
  std::vector<std::uint8_t> whole(static_cast<std::size_t>(mesh.triangles.cols()), 1);
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    if (seen[static_cast<std::size_t>(c)] != 0) continue;
    hidden_mm2 += cells.area_mm2[c];
    whole[static_cast<std::size_t>(cells.triangle[c])] = 0;
  }
  const double share = hidden_mm2 / cells.area_mm2.sum();
  if (!(share >= kLeastHidden && share <= kMostHidden)) return std::nullopt;

  std::vector<Eigen::Vector3i> kept;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
    if (whole[static_cast<std::size_t>(f)] != 0) kept.emplace_back(mesh.triangles.col(f));
  for (Eigen::Index c = 0; c < cells.size(); ++c)
    if (seen[static_cast<std::size_t>(c)] != 0 &&
        whole[static_cast<std::size_t>(cells.triangle[c])] == 0)
      kept.emplace_back(cells.cells.col(c));

  Mesh out;
  out.name = mesh.name;
  out.vertices_mm = cells.vertices_mm;
  out.triangles.resize(3, static_cast<Eigen::Index>(kept.size()));
  for (std::size_t i = 0; i < kept.size(); ++i)
    out.triangles.col(static_cast<Eigen::Index>(i)) = kept[i];
  return out;
}

}  // namespace trammel
