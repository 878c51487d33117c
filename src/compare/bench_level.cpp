#include "trammel/compare/bench_level.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/compare/joined_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Fewer points beyond the reach are strays.
constexpr int kRunsOn = 3;
/// More points of one patch tell no more of what lies beneath and behind it.
constexpr std::size_t kAskedOfPatch = 200;
/// So many times as far as neighbours lie apart, points of a narrow end lie from its edge.
constexpr double kEndWithin = 2.0;
/// So many, points of a face from where it ends; and they look the same way, a cosine.
constexpr double kFaceWithin = 3.0, kItsWay = 0.5;
/// Of thicker material the other side is not looked for, as in compare/layered_normals.cpp.
constexpr double kThickestSheet_mm = 12.0;
/// The other side of a sheet looks at most 60° off the opposite way.
constexpr double kOtherWay = -0.5;

class BenchTeller {
 public:
  BenchTeller(const ScannedSurface& scanned, double level_mm, const Deviations& deviations)
      : scanned_(scanned), deviations_(deviations), level_mm_(level_mm) {}

  /// A face was met over its edge.
  [[nodiscard]] bool goes_on(Index point) const {
    const auto i = static_cast<std::size_t>(point);
    return deviations_.reading[i] == Reading::Measured && scanned_.sideways[i] != 0 &&
           deviations_.signed_mm[point] > level_mm_;
  }

  [[nodiscard]] bool is_bench(const JoinedPatch& patch) const {
    const auto too_far = std::count_if(patch.beside.begin(), patch.beside.end(), [&](Index other) {
      return deviations_.reading[static_cast<std::size_t>(other)] == Reading::TooFar;
    });
    const bool runs_on = too_far >= kRunsOn;
    return (runs_on ||
            !most_of(patch.members, [&](Index point) { return has_face_before(point); })) &&
           most_of(patch.members, [&](Index point) { return has_end_beneath(point); }) &&
           !most_of(patch.members, [&](Index point) { return has_other_side(point); });
  }

 private:
  template <typename Says>
  [[nodiscard]] static bool most_of(const std::vector<Index>& points, const Says& says) {
    const std::size_t step = 1 + points.size() / kAskedOfPatch;
    int asked = 0, yes = 0;
    for (std::size_t k = 0; k < points.size(); k += step, ++asked)
      if (says(points[k])) ++yes;
    return 2 * yes > asked;
  }

  /// @param says  asked of each scan point near the edge that the point lies beyond: which it is,
  ///              how far out of the edge it lies and how far up
  template <typename Says>
  [[nodiscard]] bool any_about_edge(Index point, double reach_mm, const Says& says) const {
    const Vector3d edge = deviations_.foot_mm.col(point), normal = scanned_.normals.col(point);
    const Vector3d outward = (scanned_.points_mm.col(point) - edge).normalized();
    const std::vector<Neighbour> near = scanned_.index.within(edge, reach_mm);
    return std::any_of(near.begin(), near.end(), [&](const Neighbour& other) {
      const Vector3d from = scanned_.points_mm.col(other.index) - edge;
      return says(other.index, from.dot(outward), from.dot(normal));
    });
  }

  /// The part's own end was scanned in its place beneath the edge that the point lies beyond:
  /// nothing of the part goes on there.
  [[nodiscard]] bool has_end_beneath(Index point) const {
    return any_about_edge(point, kEndWithin * scanned_.near_mm,
                          [&](int, double out_mm, double up_mm) {
                            return std::abs(out_mm) <= level_mm_ && -up_mm > level_mm_;
                          });
  }

  /// The face that seems to go on over the edge was scanned before it.
  [[nodiscard]] bool has_face_before(Index point) const {
    const Vector3d normal = scanned_.normals.col(point);
    return any_about_edge(point, kFaceWithin * scanned_.near_mm,
                          [&](int other, double out_mm, double up_mm) {
                            return out_mm < -level_mm_ && std::abs(up_mm) <= level_mm_ &&
                                   scanned_.normals.col(other).dot(normal) > kItsWay;
                          });
  }

  /// The other side of a sheet lies behind it, beyond the edge as it does: the face about a hole
  /// lies behind what is seen close to the hole's wall.
  [[nodiscard]] bool has_other_side(Index point) const {
    const Vector3d p = scanned_.points_mm.col(point), normal = scanned_.normals.col(point);
    const Vector3d from_edge = p - deviations_.foot_mm.col(point);
    for (double deep = 0.0; deep < kThickestSheet_mm; deep += scanned_.near_mm) {
      for (const Neighbour& other :
           scanned_.index.within(p - deep * normal, 0.75 * scanned_.near_mm)) {
        const Vector3d beside = scanned_.points_mm.col(other.index) - p;
        if (scanned_.normals.col(other.index).dot(normal) < kOtherWay &&
            beside.dot(from_edge) > -0.5 * from_edge.squaredNorm())
          return true;
      }
    }
    return false;
  }

  const ScannedSurface& scanned_;
  const Deviations& deviations_;
  double level_mm_;
};

}  // namespace

void set_aside_bench(const ScannedSurface& scanned, double level_mm, Deviations& deviations) {
  const BenchTeller teller(scanned, level_mm, deviations);
  set_beside(points_of_patches(
                 scanned, [&](Index point) { return teller.goes_on(point); },
                 [&](const JoinedPatch& patch) { return teller.is_bench(patch); }),
             deviations);
}

}  // namespace trammel
