#include "trammel/compare/joined_patches.hpp"

#include <cmath>
#include <cstdint>
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
        patch_(static_cast<std::size_t>(scanned.points_mm.cols()), 0),
        met_(patch_) {}

  std::vector<Index> chosen(const std::function<bool(const JoinedPatch&)>& is_chosen) {
    std::vector<Index> out;
    std::vector<std::uint8_t> chosen{0};  // of each patch
    for (std::size_t i = 0; i < patch_.size(); ++i) {
      const auto point = static_cast<Index>(i);
      if (!is_member_(point)) continue;
      if (patch_[i] == 0) patch_[i] = patch_beside(point);
      if (patch_[i] == 0)
        chosen.push_back(is_chosen(walked_from(point, static_cast<int>(chosen.size()))) ? 1 : 0);
      if (chosen[static_cast<std::size_t>(patch_[i])] != 0) out.push_back(point);
    }
    return out;
  }

 private:
  [[nodiscard]] int patch_beside(Index point) const {
    for (const Index other : joined_on_surface(scanned_, point))
      if (patch_[static_cast<std::size_t>(other)] != 0)
        return patch_[static_cast<std::size_t>(other)];
    return 0;
  }

  /// Follows a new patch to its ends.
  JoinedPatch walked_from(Index seed, int number) {
    JoinedPatch out{{seed}, {}};
    met_[static_cast<std::size_t>(seed)] = number;
    for (std::size_t next = 0; next < out.members.size(); ++next) {
      patch_[static_cast<std::size_t>(out.members[next])] = number;
      for (const Index other : joined_on_surface(scanned_, out.members[next])) {
        const auto k = static_cast<std::size_t>(other);
        if (met_[k] == number) continue;
        met_[k] = number;
        (is_member_(other) ? out.members : out.beside).push_back(other);
      }
    }
    return out;
  }

  const ScannedSurface& scanned_;
  const std::function<bool(Index)>& is_member_;
  std::vector<int> patch_;  ///< #P, of members, from 1; 0: none yet
  std::vector<int> met_;    ///< #P, the last patch that came by
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
  return JoinedWalk(scanned, is_member).chosen(is_chosen);
}

void set_beside(const std::vector<Index>& points, Deviations& deviations) {
  for (const Index point : points) {
    deviations.reading[static_cast<std::size_t>(point)] = Reading::Beside;
    deviations.signed_mm[point] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace trammel
