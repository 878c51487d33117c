#include "trammel/changes/lone_surfaces.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/parallel.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/scan_ends.hpp"
#include "trammel/changes/why_not_seen.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kLinked = 2.0;        // of the cores' distance
constexpr double kAlongSurface = 0.8;  // sine of an arm above the surface that still lies along it
constexpr double kBackToBack = -0.2;   // cosine: farther turned is another side
constexpr int kHardlyAny = 1;          // points in a ball that usually holds 25

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
        why_(other.cloud, other.cores_mm, scales.core_mm, how) {}

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
      out.push_back(place_on_surface(cores_, group));
    }
    return out;
  }

 private:
  [[nodiscard]] bool is_unexplained(Index at) const {
    return is_only_[static_cast<std::size_t>(at)] != 0 && !is_of_a_strip(at) &&
           !is_thinly_seen(at) &&
           !why_.is_a_far_side(cores_.points_mm.col(at), cores_.normals.col(at)) &&
           !why_.is_hidden(cores_.points_mm.col(at), cores_.normals.col(at));
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
      if (cosine_between(other_.cloud.normals.col(n.index), cores_.normals.col(at),
                         how_.sides_known) >= how_.least_facing)
        ++seen;
    }
    return seen > kHardlyAny;
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

  const CorePoints& cores_;
  const std::vector<std::uint8_t>& is_only_;
  const ShownAlone& other_;
  const ChangeScales& scales_;
  const M3c2Settings& how_;
  PointIndex index_;
  ScanEnds ends_;
  WhyNotSeen why_;
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
