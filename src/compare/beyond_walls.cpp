#include "trammel/compare/beyond_walls.hpp"

#include <cstdint>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/compare/joined_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// So many points of its own face beside a patch are no strays.
constexpr int kOwnWitnesses = 3;
/// So many times more points of no face must lie beside it.
constexpr int kOutnumbered = 4;
/// What a face looks at most 60° away from may be a point of it.
constexpr double kLooksAlike = 0.5;

enum class BesideKind : std::uint8_t { Other, Beyond, OwnFace, NoFace };

BesideKind kind_of(std::size_t i, const ScannedSurface& scanned, const SurfaceIndex& design,
                   const ReadingDoubts& doubts, double level_mm, const Deviations& deviations) {
  const auto c = static_cast<Index>(i);
  const Reading reading = deviations.reading[i];
  if (reading == Reading::Beside || reading == Reading::TooFar) return BesideKind::NoFace;
  if (reading != Reading::Measured || doubts.sideways[i] != 0) return BesideKind::Other;
  if (deviations.signed_mm[c] < 0.0 && doubts.nearer_mm[i] > -level_mm) return BesideKind::Beyond;
  const Eigen::Vector3d face = design.face_normal(deviations.triangle[c]);
  return face.dot(scanned.normals.col(c)) > kLooksAlike ? BesideKind::OwnFace : BesideKind::Other;
}

}  // namespace

void set_aside_beyond_walls(const ScannedSurface& scanned, const SurfaceIndex& design,
                            const ReadingDoubts& doubts, double level_mm, Deviations& deviations) {
  std::vector<BesideKind> kinds(deviations.reading.size());
  for_each_index(kinds.size(), [&](std::size_t i) {
    kinds[i] = kind_of(i, scanned, design, doubts, level_mm, deviations);
  });
  const auto kind = [&](Index point) { return kinds[static_cast<std::size_t>(point)]; };
  const auto is_foreign = [&](const JoinedPatch& patch) {
    int own_face = 0, no_face = 0;
    for (const Index other : patch.beside) {
      if (kind(other) == BesideKind::OwnFace) ++own_face;
      if (kind(other) == BesideKind::NoFace) ++no_face;
    }
    return own_face < kOwnWitnesses && no_face > kOutnumbered * own_face;
  };
  const auto is_beyond = [&](Index point) { return kind(point) == BesideKind::Beyond; };
  set_beside(points_of_patches(scanned, is_beyond, is_foreign), deviations);
}

}  // namespace trammel
