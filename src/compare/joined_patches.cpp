#include "trammel/compare/joined_patches.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace trammel {
namespace {

using Eigen::Index;

/// What shows between a bench and a part is seen by few rays: points so many times `near_mm` apart
/// are still followed.
constexpr double kFollowed = 2.0;
/// Two points lie on one surface where their normals turn less than 37° apart and the step between
/// them leads no steeper than 17° off it.
constexpr double kSameSurface = 0.8, kSteepest = 0.3;

bool one_surface(const ScannedSurface& scanned, Index a, Index b) {
  const Eigen::Vector3d step = scanned.points_mm.col(b) - scanned.points_mm.col(a);
  const auto na = scanned.normals.col(a), nb = scanned.normals.col(b);
  const double steepest_mm = kSteepest * step.norm();
  return na.dot(nb) > kSameSurface && std::abs(step.dot(na)) <= steepest_mm &&
         std::abs(step.dot(nb)) <= steepest_mm;
}

class JoinedWalk {
 public:
  JoinedWalk(const ScannedSurface& scanned, const std::function<bool(Index)>& is_member)
      : scanned_(scanned),
        is_member_(is_member),
        met_(static_cast<std::size_t>(scanned.points_mm.cols()), kNone) {}

  [[nodiscard]] bool was_met(Index point) const {
    return met_[static_cast<std::size_t>(point)] != kNone;
  }

  /// Follows a patch from a member that was not met to its ends.
  JoinedPatch patch_from(Index seed) {
    JoinedPatch out{{seed}, {}};
    met_[static_cast<std::size_t>(seed)] = seed;
    for (std::size_t next = 0; next < out.members.size(); ++next) {
      for (const Index other : joined_on_surface(scanned_, out.members[next])) {
        Index& met = met_[static_cast<std::size_t>(other)];
        if (met == seed) continue;
        met = seed;
        (is_member_(other) ? out.members : out.beside).push_back(other);
      }
    }
    return out;
  }

 private:
  static constexpr Index kNone = -1;
  const ScannedSurface& scanned_;
  const std::function<bool(Index)>& is_member_;
  std::vector<Index> met_;  ///< #P, where the last patch that came by began
};

}  // namespace

std::vector<Index> joined_on_surface(const ScannedSurface& scanned, Index point) {
  std::vector<Index> out;
  for (const Neighbour& other :
       scanned.index.within(scanned.points_mm.col(point), kFollowed * scanned.near_mm)) {
    if (other.index != point && one_surface(scanned, point, other.index))
      out.push_back(other.index);
  }
  return out;
}

std::vector<Index> points_of_patches(const ScannedSurface& scanned,
                                     const std::function<bool(Index)>& is_member,
                                     const std::function<bool(const JoinedPatch&)>& is_chosen) {
  std::vector<Index> out;
  JoinedWalk walk(scanned, is_member);
  for (Index point = 0; point < scanned.points_mm.cols(); ++point) {
    if (!is_member(point) || walk.was_met(point)) continue;
    const JoinedPatch patch = walk.patch_from(point);
    if (is_chosen(patch)) out.insert(out.end(), patch.members.begin(), patch.members.end());
  }
  std::sort(out.begin(), out.end());
  return out;
}

void set_beside(const std::vector<Index>& points, Deviations& deviations) {
  for (const Index point : points) {
    deviations.reading[static_cast<std::size_t>(point)] = Reading::Beside;
    deviations.signed_mm[point] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace trammel
