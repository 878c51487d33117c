#include "trammel/compare/beyond_walls.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// So many points of its own face beside a patch are no strays.
constexpr int kOwnWitnesses = 3;
/// So many times more points of no face must lie beside it.
constexpr int kOutnumbered = 4;
/// What shows between a bench and a part is seen by few rays: points so many times `near_mm` apart
/// are still followed.
constexpr double kFollowed = 2.0;
/// Two points lie on one surface where their normals turn less than 37° apart and the step between
/// them leads no steeper than 17° off it.
constexpr double kSameSurface = 0.8, kSteepest = 0.3;
/// What a face looks at most 60° away from may be a point of it.
constexpr double kLooksAlike = 0.5;

enum class BesideKind : std::uint8_t { Other, Beyond, OwnFace, NoFace };

bool one_surface(const ScannedSurface& scanned, Index a, Index b) {
  const Vector3d step = scanned.points_mm.col(b) - scanned.points_mm.col(a);
  const auto na = scanned.normals.col(a), nb = scanned.normals.col(b);
  const double steepest_mm = kSteepest * step.norm();
  return na.dot(nb) > kSameSurface && std::abs(step.dot(na)) <= steepest_mm &&
         std::abs(step.dot(nb)) <= steepest_mm;
}

class BeyondWalls {
 public:
  BeyondWalls(const ScannedSurface& scanned, const SurfaceIndex& design,
              const ReadingDoubts& doubts, double level_mm, const Deviations& deviations)
      : scanned_(scanned), kinds_(deviations.reading.size(), BesideKind::Other) {
    for_each_index(kinds_.size(), [&](std::size_t i) {
      kinds_[i] = kind_of(i, design, doubts, level_mm, deviations);
    });
    patch_.assign(kinds_.size(), 0);
    met_ = patch_;
  }

  /// Every point of the patches that are of no face of the design.
  [[nodiscard]] std::vector<Index> foreign() {
    std::vector<Index> out;
    for (std::size_t i = 0; i < kinds_.size(); ++i) {
      if (kinds_[i] != BesideKind::Beyond) continue;
      const auto point = static_cast<Index>(i);
      // The index may give but one point of each small cell: the others go with these.
      if (patch_[i] == 0) patch_[i] = patch_beside(point);
      if (patch_[i] == 0) walk_from(point);
      if (is_foreign_[static_cast<std::size_t>(patch_[i])] != 0) out.push_back(point);
    }
    return out;
  }

 private:
  [[nodiscard]] BesideKind kind_of(std::size_t i, const SurfaceIndex& design,
                                   const ReadingDoubts& doubts, double level_mm,
                                   const Deviations& deviations) const {
    const auto c = static_cast<Index>(i);
    const Reading reading = deviations.reading[i];
    if (reading == Reading::Beside || reading == Reading::TooFar) return BesideKind::NoFace;
    if (reading != Reading::Measured || doubts.sideways[i] != 0) return BesideKind::Other;
    if (deviations.signed_mm[c] < 0.0 && doubts.nearer_mm[i] > -level_mm) return BesideKind::Beyond;
    const Vector3d face = design.face_normal(deviations.triangle[c]);
    return face.dot(scanned_.normals.col(c)) > kLooksAlike ? BesideKind::OwnFace
                                                           : BesideKind::Other;
  }

  [[nodiscard]] int patch_beside(Index point) const {
    for (const Index other : joined_on_surface(scanned_, point))
      if (patch_[static_cast<std::size_t>(other)] != 0)
        return patch_[static_cast<std::size_t>(other)];
    return 0;
  }

  /// Follows a new patch to its ends, and notes what lies beside it.
  void walk_from(Index seed) {
    const int patch = static_cast<int>(is_foreign_.size());
    int own_face = 0, no_face = 0;
    std::vector<Index> open{seed};
    met_[static_cast<std::size_t>(seed)] = patch;
    for (std::size_t next = 0; next < open.size(); ++next) {
      patch_[static_cast<std::size_t>(open[next])] = patch;
      for (const Index other : joined_on_surface(scanned_, open[next])) {
        const auto k = static_cast<std::size_t>(other);
        if (met_[k] == patch) continue;
        met_[k] = patch;
        if (kinds_[k] == BesideKind::Beyond) open.push_back(other);
        if (kinds_[k] == BesideKind::OwnFace) ++own_face;
        if (kinds_[k] == BesideKind::NoFace) ++no_face;
      }
    }
    is_foreign_.push_back(own_face < kOwnWitnesses && no_face > kOutnumbered * own_face ? 1 : 0);
  }

  const ScannedSurface& scanned_;
  std::vector<BesideKind> kinds_;
  std::vector<int> patch_;                   ///< #P, of points beyond a wall, from 1; 0: none yet
  std::vector<int> met_;                     ///< #P, the last patch that came by
  std::vector<std::uint8_t> is_foreign_{0};  ///< of each patch
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

void set_aside_beyond_walls(const ScannedSurface& scanned, const SurfaceIndex& design,
                            const ReadingDoubts& doubts, double level_mm, Deviations& deviations) {
  for (const Index point : BeyondWalls(scanned, design, doubts, level_mm, deviations).foreign()) {
    deviations.reading[static_cast<std::size_t>(point)] = Reading::Beside;
    deviations.signed_mm[point] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace trammel
