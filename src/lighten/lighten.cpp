#include "trammel/lighten/lighten.hpp"

#include <meshoptimizer.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/lighten/pieces.hpp"

namespace trammel {
namespace {

constexpr int kMostTries = 6;

/// meshoptimizer works in single precision: its error is blind below about 1/2000 of what it is
/// given at once. So it is given blocks of the mesh, about their own middle, this many times the
/// error allowed wide; block borders stay, and move from pass to pass.
constexpr double kBlock = 400.0;
constexpr double kLeastBlockEdges = 12.0;  // a block of few triangles is all border
constexpr double kMostBlockEdges = 30.0;   // one fault takes a whole block back
constexpr std::array<std::array<double, 3>, 6> kShifts = {
    {{0, 0, 0}, {.5, .5, .5}, {.25, .75, .5}, {.75, .25, 0}, {0, .5, .25}, {.5, 0, .75}}};

using Block = std::vector<Eigen::Index>;  ///< numbers of triangles

std::vector<Block> blocks_of(const Mesh& mesh, double width_mm,
                             const std::array<double, 3>& shift) {
  const Eigen::Vector3d low = bounding_box(mesh.vertices_mm).low_mm;
  const Eigen::Vector3d start =
      low - width_mm * Eigen::Vector3d(1.0 - shift[0], 1.0 - shift[1], 1.0 - shift[2]);
  std::map<std::array<long, 3>, Block> blocks;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    const Eigen::Vector3i t = mesh.triangles.col(f);
    const Eigen::Vector3d middle =
        (mesh.vertices_mm.col(t[0]) + mesh.vertices_mm.col(t[1]) + mesh.vertices_mm.col(t[2])) /
        3.0;
    const Eigen::Vector3d cell = ((middle - start) / width_mm).array().floor();
    blocks[{std::lround(cell.x()), std::lround(cell.y()), std::lround(cell.z())}].push_back(f);
  }
  std::vector<Block> out;
  for (auto& [cell, block] : blocks)
    out.push_back(std::move(block));
  return out;
}

/// The block's triangles after collapsing, by the mesh's own vertex numbers.
std::vector<int> collapsed(const Mesh& mesh, const Block& block, double error_mm,
                           double keep_share) {
  std::vector<int> used;
  for (const Eigen::Index f : block)
    for (int k = 0; k < 3; ++k)
      used.push_back(mesh.triangles(k, f));
  std::vector<int> vertices = used;
  std::sort(vertices.begin(), vertices.end());
  vertices.erase(std::unique(vertices.begin(), vertices.end()), vertices.end());
  const Eigen::Vector3d middle = mesh.vertices_mm.col(vertices[vertices.size() / 2]);
  std::vector<float> places;
  for (const int v : vertices)
    for (int k = 0; k < 3; ++k)
      places.push_back(static_cast<float>(mesh.vertices_mm(k, v) - middle[k]));
  std::vector<unsigned> indices, kept(used.size());
  for (const int v : used)
    indices.push_back(static_cast<unsigned>(std::lower_bound(vertices.begin(), vertices.end(), v) -
                                            vertices.begin()));
  const float scale = meshopt_simplifyScale(places.data(), vertices.size(), 3 * sizeof(float));
  const auto target = 3 * static_cast<std::size_t>(keep_share * static_cast<double>(block.size()));
  const std::size_t count =
      meshopt_simplify(kept.data(), indices.data(), indices.size(), places.data(), vertices.size(),
                       3 * sizeof(float), std::min(target, indices.size()),
                       static_cast<float>(error_mm) / scale, meshopt_SimplifyLockBorder, nullptr);
  std::vector<int> out;
  for (std::size_t i = 0; i < count; ++i)
    out.push_back(vertices[kept[i]]);
  return out;
}

/// Edges that are not between two triangles, as (low, high), sorted.
std::vector<std::pair<int, int>> odd_edges(const Eigen::Matrix3Xi& triangles,
                                           Eigen::Index vertices) {
  std::vector<std::pair<int, int>> odd;
  for_each_edge(sorted_edge_uses(triangles, vertices),
                [&](const EdgeUse* first, const EdgeUse* last) {
                  if (last - first != 2) odd.emplace_back(first->low, first->high);
                });
  return odd;
}

/// The blocks' triangles put together. Two blocks may each join the same two vertices of their
/// common border, which no collapse within one of them can see: blocks at such an edge get back
/// what they had, until no edge is odd that was not so before.
Eigen::Matrix3Xi joined(const Mesh& mesh, const std::vector<Block>& blocks,
                        std::vector<std::vector<int>> parts) {
  const auto before = odd_edges(mesh.triangles, mesh.vertices_mm.cols());
  for (;;) {
    std::vector<int> corners;
    std::vector<std::size_t> owner;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      corners.insert(corners.end(), parts[i].begin(), parts[i].end());
      owner.insert(owner.end(), parts[i].size() / 3, i);
    }
    const Eigen::Matrix3Xi triangles = Eigen::Map<const Eigen::Matrix3Xi>(
        corners.data(), 3, static_cast<Eigen::Index>(owner.size()));
    std::set<std::size_t> at_fault;
    for_each_edge(sorted_edge_uses(triangles, mesh.vertices_mm.cols()),
                  [&](const EdgeUse* first, const EdgeUse* last) {
                    const std::pair<int, int> edge(first->low, first->high);
                    if (last - first == 2 || std::binary_search(before.begin(), before.end(), edge))
                      return;
                    for (const EdgeUse* use = first; use != last; ++use)
                      at_fault.insert(owner[static_cast<std::size_t>(use->triangle())]);
                  });
    bool changed = false;
    for (const std::size_t i : at_fault) {
      if (parts[i].size() == 3 * blocks[i].size()) continue;
      parts[i].clear();
      for (const Eigen::Index f : blocks[i])
        for (int k = 0; k < 3; ++k)
          parts[i].push_back(mesh.triangles(k, f));
      changed = true;
    }
    if (at_fault.empty()) return triangles;
    if (!changed) return mesh.triangles;
  }
}

Mesh one_pass(const Mesh& mesh, double error_mm, std::size_t least_triangles,
              const std::array<double, 3>& shift) {
  const auto now = static_cast<double>(mesh.triangles.cols());
  const double edge_mm = std::sqrt(surface_area_mm2(mesh) / now);
  const double width_mm =
      std::clamp(kBlock * error_mm, kLeastBlockEdges * edge_mm, kMostBlockEdges * edge_mm);
  const std::vector<Block> blocks = blocks_of(mesh, width_mm, shift);
  const double keep = std::min(1.0, static_cast<double>(least_triangles) / now);
  std::vector<std::vector<int>> parts(blocks.size());
  for_each_index(
      blocks.size(), [&](std::size_t i) { parts[i] = collapsed(mesh, blocks[i], error_mm, keep); },
      1);
  return compacted(mesh, joined(mesh, blocks, std::move(parts)));
}

Mesh simplified(const Mesh& mesh, double error_mm, std::size_t least_triangles) {
  Mesh light = mesh;
  for (const auto& shift : kShifts) {
    if (static_cast<std::size_t>(light.triangles.cols()) <= least_triangles) break;
    light = one_pass(light, error_mm, least_triangles, shift);
    if (light.triangles.cols() == 0) break;
  }
  return light;
}

FarthestPoint nothing_off() {
  FarthestPoint out;
  out.proven = true;
  return out;
}

/// Proves a light mesh; the way back only when the way there holds.
Lightened proven(const Mesh& mesh, const SurfaceIndex& original, Mesh light, double within_mm) {
  Lightened out;
  out.mesh = std::move(light);
  if (out.mesh.triangles.cols() == 0) {
    out.from_original.at_least_mm = out.from_original.at_most_mm = SurfaceIndex::kNoLimit;
    return out;
  }
  out.from_original = farthest_point(mesh, SurfaceIndex(out.mesh), within_mm);
  if (out.from_original.proven) out.from_light = farthest_point(out.mesh, original, within_mm);
  return out;
}

}  // namespace

Lightened lighten(const Mesh& mesh, const LightenSettings& settings) {
  TRAMMEL_CHECK(settings.within_mm > 0.0, "lightening needs a distance");
  const SurfaceIndex original(mesh);
  Lightened best;
  best.mesh = mesh;
  best.from_original = best.from_light = nothing_off();
  bool held = false;
  double low = 0.0, high = 0.0;  // errors that were proven, and that were not
  double error_mm = 0.5 * settings.within_mm;
  int tries = 0;
  while (tries < kMostTries) {
    ++tries;
    Lightened next = proven(mesh, original, simplified(mesh, error_mm, settings.least_triangles),
                            settings.within_mm);
    const bool good = next.from_original.proven && next.from_light.proven;
    if (good) {
      low = error_mm;
      held = true;
      const double farthest = std::max(next.from_original.at_least_mm, next.from_light.at_least_mm);
      const bool enough =
          static_cast<std::size_t>(next.mesh.triangles.cols()) <= settings.least_triangles;
      best = std::move(next);
      // What is left would not be worth another proof.
      if (enough || farthest > 0.8 * settings.within_mm || high > 0.0) break;
      error_mm *= std::clamp(0.9 * settings.within_mm / std::max(farthest, 1e-12), 1.2, 4.0);
    } else {
      high = error_mm;
      // The deviation goes about with the error that was asked for.
      const double off = std::max(
          {next.from_original.at_least_mm, next.from_light.at_least_mm, settings.within_mm});
      error_mm *= std::clamp(0.9 * settings.within_mm / off, 0.2, 0.75);
    }
    if (low > 0.0 && high > 0.0) error_mm = std::max(error_mm, low + 0.5 * (high - low));
  }
  best.tries = tries;
  if (!held) best.mesh = mesh;
  return best;
}

}  // namespace trammel
