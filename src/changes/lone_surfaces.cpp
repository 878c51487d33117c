#include "trammel/changes/lone_surfaces.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/parallel.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/filled_cells.hpp"
#include "trammel/changes/scan_ends.hpp"
#include "trammel/changes/view_directions.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kLinked = 2.0;        // of the cores' distance
constexpr double kAlongSurface = 0.8;  // sine of an arm above the surface that still lies along it
constexpr double kBackToBack = -0.2;   // cosine: farther turned is another side
constexpr int kHardlyAny = 1;          // points in a ball that usually holds 25
constexpr double kHidden = 0.75;       // of the directions
constexpr double kClearOfOwn = 3.0;    // cores distances: nearer is the surface itself
constexpr double kCellOfStanding = 1.5;  // of the cores distance: a surface leaves few empty

class LoneSurfaces {
 public:
  LoneSurfaces(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
               const ShownAlone& other, const ChangeScales& scales, const M3c2Settings& how)
      : cores_(cores),
        is_only_(is_only),
        other_(other),
        scales_(scales),
        how_(how),
        index_(cores.points_mm),
        ends_(cores, is_only, index_, other, scales, how.sides_known),
        standing_(other.cores_mm, kCellOfStanding * scales.core_mm) {}

  [[nodiscard]] std::vector<OpenPlace> find(double least_area_mm2,
                                            const std::vector<OpenPlace>& told) const {
    std::vector<std::uint8_t> is_open(is_only_.size(), 0);
    for_each_index(
        is_open.size(),
        [&](std::size_t i) { is_open[i] = is_unexplained(static_cast<Index>(i)) ? 1 : 0; }, 16);
    const std::vector<Index> known = middles_of(told);
    std::vector<OpenPlace> out;
    for (const CoreGroup& group : linked(is_open)) {
      const bool is_told = std::any_of(known.begin(), known.end(), [&](Index at) {
        return std::find(group.begin(), group.end(), at) != group.end();
      });
      if (is_told || area_of(cores_, group) < least_area_mm2) continue;
      if (ends_.other_ended_before(group)) continue;
      out.push_back(place_of(group));
    }
    return out;
  }

 private:
  [[nodiscard]] bool is_unexplained(Index at) const {
    return is_only_[static_cast<std::size_t>(at)] != 0 && !is_of_a_strip(at) &&
           !is_thinly_seen(at) && !is_a_far_side(at) && !is_hidden(at);
  }

  [[nodiscard]] bool is_of_a_strip(Index at) const {
    const Vector3d normal = cores_.normals.col(at);
    for (const Neighbour& n : index_.within(cores_.points_mm.col(at), scales_.cylinder_mm)) {
      if (is_only_[static_cast<std::size_t>(n.index)] != 0) continue;
      if (how_.sides_known && cores_.normals.col(n.index).dot(normal) < kBackToBack) continue;
      const Vector3d arm = cores_.points_mm.col(n.index) - cores_.points_mm.col(at);
      if (std::abs(arm.dot(normal)) <= kAlongSurface * n.distance_mm) return true;
    }
    return false;
  }

  [[nodiscard]] bool is_thinly_seen(Index at) const {
    int seen = 0;
    for (const Neighbour& n :
         other_.cloud.index.within(cores_.points_mm.col(at), 0.5 * scales_.cylinder_mm)) {
      const double cosine = other_.cloud.normals.col(n.index).dot(cores_.normals.col(at));
      if ((how_.sides_known ? cosine : std::abs(cosine)) >= how_.least_facing) ++seen;
    }
    return seen > kHardlyAny;
  }

  [[nodiscard]] bool is_a_far_side(Index at) const {
    if (!how_.sides_known) return false;
    const Vector3d core = cores_.points_mm.col(at), normal = cores_.normals.col(at);
    const auto back = mean_in_cylinder(other_.cloud, core, -normal, 0.0, how_);
    if (!back || back->mean_mm <= 0.0) return false;
    const auto front = mean_in_cylinder(other_.cloud, core, normal, -0.5 * back->mean_mm, how_);
    return !front || front->mean_mm > 0.0 || -front->mean_mm > back->mean_mm;
  }

  [[nodiscard]] bool is_hidden(Index at) const {
    const Vector3d normal = cores_.normals.col(at);
    if (!is_closed(at, normal)) return false;
    return how_.sides_known || is_closed(at, -normal);
  }

  [[nodiscard]] bool is_closed(Index at, const Vector3d& out) const {
    return are_closed_about(
        out, kHidden, [&](const Vector3d& way) { return !is_free(cores_.points_mm.col(at), way); });
  }

  [[nodiscard]] bool is_free(const Vector3d& from, const Vector3d& way) const {
    for (double far = kClearOfOwn * scales_.core_mm; far <= kStandOff_mm;
         far += 0.7 * standing_.edge_mm())
      if (standing_.holds(from + far * way)) return false;
    return true;
  }

  /// Groups of neighbours, whichever way they look: all faces of a block are one.
  [[nodiscard]] std::vector<CoreGroup> linked(const std::vector<std::uint8_t>& is_left) const {
    return linked_cores(
        cores_, index_, kLinked * scales_.core_mm,
        [&](Index at) { return is_left[static_cast<std::size_t>(at)] != 0; },
        [](Index, Index) { return true; });
  }

  [[nodiscard]] std::vector<Index> middles_of(const std::vector<OpenPlace>& places) const {
    std::vector<Index> out;
    for (const OpenPlace& place : places)
      out.push_back(index_.nearest(place.center_mm, 1).front().index);
    return out;
  }

  /// Its centre is the core point nearest to the middle: the middle of a block lies inside it.
  [[nodiscard]] OpenPlace place_of(const CoreGroup& group) const {
    Vector3d middle = Vector3d::Zero();
    for (const Index at : group)
      middle += cores_.points_mm.col(at) / static_cast<double>(group.size());
    const Index nearest = *std::min_element(group.begin(), group.end(), [&](Index a, Index b) {
      return (cores_.points_mm.col(a) - middle).squaredNorm() <
             (cores_.points_mm.col(b) - middle).squaredNorm();
    });
    return {true, area_of(cores_, group), cores_.points_mm.col(nearest),
            cores_.normals.col(nearest)};
  }

  const CorePoints& cores_;
  const std::vector<std::uint8_t>& is_only_;
  const ShownAlone& other_;
  const ChangeScales& scales_;
  const M3c2Settings& how_;
  PointIndex index_;
  ScanEnds ends_;
  FilledCells standing_;
};

}  // namespace

std::vector<OpenPlace> lone_surfaces_among(const CorePoints& cores,
                                           const std::vector<std::uint8_t>& is_only,
                                           const ShownAlone& other, const ChangeScales& scales,
                                           const M3c2Settings& how, double least_area_mm2,
                                           const std::vector<OpenPlace>& told) {
  if (std::find(is_only.begin(), is_only.end(), 1) == is_only.end()) return {};
  return LoneSurfaces(cores, is_only, other, scales, how).find(least_area_mm2, told);
}

}  // namespace trammel
