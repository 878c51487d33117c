#include "wall_search.hpp"

#include <cmath>
#include <limits>
#include <utility>

#include "trammel/geometry/fit_cylinder.hpp"

namespace trammel::wall_search {
namespace {

using hole_walls::Crease;
using hole_walls::kTurnLimits_rad;
using hole_walls::Patch;

constexpr double kSameAxis = 0.9998;  // a cosine: about a degree
/// Steps of growing patches and walks over the mesh that are worth the list: a second for a usual
/// part, and as much again for some millions of triangles.
constexpr long long kMostWork = 8'000'000, kMostWorkPerTriangle = 2;

}  // namespace

WallSeeds::WallSeeds(const Mesh& of_design)
    : design(of_design),
      boxes(of_design),
      all(boxes.near(bounding_box(of_design.vertices_mm).center_mm(),
                     std::numeric_limits<double>::infinity())),
      creases(hole_walls::inward_creases(all, hole_walls::CreaseOrder::SharpestFirst)) {}

std::vector<double> directions_rad(const NearTriangles& near, const WallPiece& piece) {
  const auto [u, v] = across(piece.crease.axis);
  std::vector<double> out;
  out.reserve(piece.patch.size());
  for (const int f : piece.patch)
    out.push_back(std::atan2(near.normals.col(f).dot(v), near.normals.col(f).dot(u)));
  return out;
}

WallSearch::WallSearch(const WallSeeds& seeds)
    : seeds_(seeds), grower_(seeds.all), settled_(static_cast<std::size_t>(seeds.all.size()), 0) {
  for (std::vector<int>& trial : tried_)
    trial.assign(settled_.size(), -1);
}

bool WallSearch::go_through(const std::function<bool(const WallPiece&)>& takes) {
  const long long most_work = kMostWork + kMostWorkPerTriangle * seeds_.all.size();
  for (std::size_t i = 0; i < seeds_.creases.size(); ++i) {
    if (settled_[static_cast<std::size_t>(seeds_.creases[i].a)] != 0) continue;
    if (steps_ > most_work) return false;
    look_about(i, takes);
  }
  return true;
}

bool WallSearch::was_tried(const Crease& crease, std::size_t limit) const {
  const int last = tried_[limit][static_cast<std::size_t>(crease.a)];
  if (last < 0) return false;
  const hole_walls::SameReach& trial = trials_[static_cast<std::size_t>(last)];
  return std::abs(trial.axis.dot(crease.axis)) > kSameAxis || trial.holds_along(crease.axis);
}

void WallSearch::look_about(std::size_t index, const std::function<bool(const WallPiece&)>& takes) {
  const Crease& crease = seeds_.creases[index];
  std::size_t handed_over = 0;
  for (std::size_t limit = 0; limit < tried_.size(); ++limit) {
    if (crease.turn_rad > kTurnLimits_rad[limit] || was_tried(crease, limit)) continue;
    const Patch patch = grower_.grown(crease.a, crease.axis, kTurnLimits_rad[limit]);
    spend(static_cast<long long>(patch.size()));
    for (const int f : patch)
      tried_[limit][static_cast<std::size_t>(f)] = static_cast<int>(trials_.size());
    trials_.push_back(grower_.same_reach());
    // A wider limit reaches all that a gentler one does: as much is the same.
    if (patch.size() == std::exchange(handed_over, patch.size())) continue;
    if (takes({crease, patch, kTurnLimits_rad[limit]})) return;
  }
}

void WallSearch::settle(int triangle) {
  const std::vector<int>& origin = seeds_.all.origin;
  const auto at = std::lower_bound(origin.begin(), origin.end(), triangle);
  settled_[static_cast<std::size_t>(at - origin.begin())] = 1;
}

}  // namespace trammel::wall_search
