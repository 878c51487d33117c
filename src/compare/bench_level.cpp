#include "trammel/compare/bench_level.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "trammel/compare/beyond_walls.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Fewer points beyond the reach are strays.
constexpr int kRunsOn = 3;
/// More points of one patch tell no more of what lies behind it.
constexpr std::size_t kMostAskedBehind = 200;
/// So many times as far as neighbours lie apart, points of a narrow end lie from its edge.
constexpr double kEndWithin = 2.0;
/// Of thicker material the other side is not looked for, as in compare/layered_normals.cpp.
constexpr double kThickestSheet_mm = 12.0;
/// The other side of a sheet looks at most 60° off the opposite way.
constexpr double kOtherWay = -0.5;

class BenchPatches {
 public:
  BenchPatches(const ScannedSurface& scanned, double level_mm, const Deviations& deviations)
      : scanned_(scanned),
        deviations_(deviations),
        level_mm_(level_mm),
        patch_(deviations.reading.size(), 0),
        met_(patch_) {}

  [[nodiscard]] std::vector<Index> of_bench() {
    std::vector<Index> out;
    for (std::size_t i = 0; i < patch_.size(); ++i) {
      const auto point = static_cast<Index>(i);
      if (!goes_on(point)) continue;
      // The index may give but one point of each small cell: the others go with these.
      if (patch_[i] == 0) patch_[i] = patch_beside(point);
      if (patch_[i] == 0) walk_from(point);
      if (is_bench_[static_cast<std::size_t>(patch_[i])] != 0) out.push_back(point);
    }
    return out;
  }

 private:
  /// A face was met over its edge.
  [[nodiscard]] bool goes_on(Index point) const {
    const auto i = static_cast<std::size_t>(point);
    return deviations_.reading[i] == Reading::Measured && scanned_.sideways[i] != 0 &&
           deviations_.signed_mm[point] > level_mm_;
  }

  [[nodiscard]] int patch_beside(Index point) const {
    for (const Index other : joined_on_surface(scanned_, point))
      if (patch_[static_cast<std::size_t>(other)] != 0)
        return patch_[static_cast<std::size_t>(other)];
    return 0;
  }

  /// Follows a new patch to its ends.
  void walk_from(Index seed) {
    const int patch = static_cast<int>(is_bench_.size());
    int too_far = 0;
    std::vector<Index> open{seed};
    met_[static_cast<std::size_t>(seed)] = patch;
    for (std::size_t next = 0; next < open.size(); ++next) {
      patch_[static_cast<std::size_t>(open[next])] = patch;
      for (const Index other : joined_on_surface(scanned_, open[next])) {
        const auto k = static_cast<std::size_t>(other);
        if (met_[k] == patch) continue;
        met_[k] = patch;
        if (goes_on(other)) open.push_back(other);
        if (deviations_.reading[k] == Reading::TooFar) ++too_far;
      }
    }
    const bool runs_on = too_far >= kRunsOn;
    is_bench_.push_back(runs_on && ends_where_drawn(open) && !is_of_sheet(open) ? 1 : 0);
  }

  /// The part's own end was scanned in its place beneath the edge that most of the points lie
  /// beyond: nothing of the part goes on there.
  [[nodiscard]] bool ends_where_drawn(const std::vector<Index>& points) const {
    const std::size_t step = 1 + points.size() / kMostAskedBehind;
    int asked = 0, ended = 0;
    for (std::size_t k = 0; k < points.size(); k += step, ++asked)
      if (has_end_beneath(points[k])) ++ended;
    return 2 * ended > asked;
  }

  [[nodiscard]] bool has_end_beneath(Index point) const {
    const Vector3d edge = deviations_.foot_mm.col(point), normal = scanned_.normals.col(point);
    const Vector3d outward = (scanned_.points_mm.col(point) - edge).normalized();
    const std::vector<Neighbour> near = scanned_.index.within(edge, kEndWithin * scanned_.near_mm);
    return std::any_of(near.begin(), near.end(), [&](const Neighbour& other) {
      const Vector3d from = scanned_.points_mm.col(other.index) - edge;
      return std::abs(from.dot(outward)) <= level_mm_ && -from.dot(normal) > level_mm_;
    });
  }

  /// Most of the points have the other side of a sheet behind them.
  [[nodiscard]] bool is_of_sheet(const std::vector<Index>& points) const {
    const std::size_t step = 1 + points.size() / kMostAskedBehind;
    int asked = 0, backed = 0;
    for (std::size_t k = 0; k < points.size(); k += step, ++asked)
      if (has_other_side(points[k])) ++backed;
    return 2 * backed > asked;
  }

  [[nodiscard]] bool has_other_side(Index point) const {
    const Vector3d p = scanned_.points_mm.col(point), normal = scanned_.normals.col(point);
    for (double deep = 0.0; deep < kThickestSheet_mm; deep += scanned_.near_mm) {
      for (const Neighbour& other :
           scanned_.index.within(p - deep * normal, 0.75 * scanned_.near_mm)) {
        if (scanned_.normals.col(other.index).dot(normal) < kOtherWay) return true;
      }
    }
    return false;
  }

  const ScannedSurface& scanned_;
  const Deviations& deviations_;
  double level_mm_;
  std::vector<int> patch_;                 ///< #P, of points that go on, from 1; 0: none yet
  std::vector<int> met_;                   ///< #P, the last patch that came by
  std::vector<std::uint8_t> is_bench_{0};  ///< of each patch
};

}  // namespace

void set_aside_bench(const ScannedSurface& scanned, double level_mm, Deviations& deviations) {
  for (const Index point : BenchPatches(scanned, level_mm, deviations).of_bench()) {
    deviations.reading[static_cast<std::size_t>(point)] = Reading::Beside;
    deviations.signed_mm[point] = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace trammel
