#include "trammel/lighten/lighten.hpp"

#include <meshoptimizer.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "trammel/base/error.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

constexpr int kMostTries = 6;

/// A mesh as meshoptimizer takes it: single precision about the middle of its box, so that the
/// places far from the origin cost no digits. Its result names vertices; their places stay ours.
struct SingleMesh {
  std::vector<float> places;
  std::vector<unsigned> indices;
  double mm_per_error;  ///< of its relative error

  explicit SingleMesh(const Mesh& mesh) {
    const Eigen::Vector3d middle = bounding_box(mesh.vertices_mm).center_mm();
    places.reserve(static_cast<std::size_t>(mesh.vertices_mm.size()));
    for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
      for (int k = 0; k < 3; ++k)
        places.push_back(static_cast<float>(mesh.vertices_mm(k, i) - middle[k]));
    indices.reserve(static_cast<std::size_t>(mesh.triangles.size()));
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
      for (int k = 0; k < 3; ++k)
        indices.push_back(static_cast<unsigned>(mesh.triangles(k, f)));
    mm_per_error = static_cast<double>(
        meshopt_simplifyScale(places.data(), places.size() / 3, 3 * sizeof(float)));
  }
};

/// Only the vertices that triangles use, in their old order.
Mesh compacted(const Mesh& mesh, const Eigen::Matrix3Xi& triangles) {
  std::vector<int> number(static_cast<std::size_t>(mesh.vertices_mm.cols()), -1);
  for (Eigen::Index i = 0; i < triangles.size(); ++i)
    number[static_cast<std::size_t>(triangles(i % 3, i / 3))] = 0;
  Mesh out;
  out.name = mesh.name;
  out.vertices_mm.resize(3, std::count(number.begin(), number.end(), 0));
  int next = 0;
  for (std::size_t i = 0; i < number.size(); ++i) {
    if (number[i] < 0) continue;
    out.vertices_mm.col(next) = mesh.vertices_mm.col(static_cast<Eigen::Index>(i));
    number[i] = next++;
  }
  out.triangles = triangles.unaryExpr([&](int v) { return number[static_cast<std::size_t>(v)]; });
  return out;
}

Mesh simplified(const Mesh& mesh, const SingleMesh& single, double error_mm,
                std::size_t least_triangles) {
  std::vector<unsigned> kept(single.indices.size());
  const std::size_t count = meshopt_simplify(
      kept.data(), single.indices.data(), single.indices.size(), single.places.data(),
      single.places.size() / 3, 3 * sizeof(float), 3 * least_triangles,
      static_cast<float>(error_mm / single.mm_per_error), meshopt_SimplifyLockBorder, nullptr);
  Eigen::Matrix3Xi triangles(3, static_cast<Eigen::Index>(count / 3));
  for (std::size_t i = 0; i < count; ++i)
    triangles(static_cast<Eigen::Index>(i % 3), static_cast<Eigen::Index>(i / 3)) =
        static_cast<int>(kept[i]);
  return compacted(mesh, triangles);
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
  const SingleMesh single(mesh);
  const SurfaceIndex original(mesh);
  Lightened best;
  best.mesh = mesh;
  best.from_original = best.from_light = nothing_off();
  bool held = false;
  double low = 0.0, high = 0.0;  // errors that were proven, and that were not
  double error_mm = settings.within_mm;
  int tries = 0;
  while (tries < kMostTries) {
    ++tries;
    Lightened next =
        proven(mesh, original, simplified(mesh, single, error_mm, settings.least_triangles),
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

std::vector<Mesh> connected_pieces(const Mesh& mesh) {
  const Pieces pieces = pieces_by_edges(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols()),
                                        mesh.triangles.cols());
  std::vector<std::vector<Eigen::Index>> members(static_cast<std::size_t>(pieces.count));
  for (std::size_t f = 0; f < pieces.piece.size(); ++f)
    members[static_cast<std::size_t>(pieces.piece[f])].push_back(static_cast<Eigen::Index>(f));
  std::stable_sort(members.begin(), members.end(),
                   [](const auto& a, const auto& b) { return a.size() > b.size(); });
  std::vector<Mesh> out;
  for (const auto& triangles : members)
    out.push_back(compacted(mesh, mesh.triangles(Eigen::all, triangles)));
  return out;
}

}  // namespace trammel
