#include "trammel/judge/points_beyond.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/judge/strays.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;

constexpr int kFewestBeyond = 8;  // fewer may be strays that fell together
constexpr int kFewestRead = 4;

bool is_set_aside(Reading reading) {
  return reading == Reading::Beside || reading == Reading::Stray;
}

class Beyond {
 public:
  explicit Beyond(const ReadPoints& read)
      : read_(read),
        by_mm_(std::max(read.uncertainty.expanded_mm, 4.0 * read.uncertainty.noise_mm)),
        apart_mm_(std::max(std::sqrt(read.plan.least_area_mm2), 2.5 * read.spacing_mm)),
        point_mm2_(area_of_a_point(read.cells, read.readings)),
        needed_(static_cast<int>(
            std::ceil(std::max<double>(kFewestBeyond, read.plan.least_area_mm2 / point_mm2_)))) {}

  /// Patches of points proud, or shy, of their limit.
  [[nodiscard]] std::vector<PointPatch> patches(double sign) const {
    std::vector<Index> chosen = read_beyond(sign);
    if (static_cast<int>(chosen.size()) < kFewestRead) return {};
    const std::vector<Index> aside = set_aside_beyond(sign);
    chosen.insert(chosen.end(), aside.begin(), aside.end());
    std::vector<PointPatch> out = point_patches(read_.points_mm, chosen, apart_mm_, needed_);
    drop_chance(out, read_.points_mm, apart_mm_,
                {read_.strays_per_mm3, chosen.size(), read_.plan.least_area_mm2, point_mm2_});
    const auto is_none = [&](const PointPatch& patch) { return !counts(patch); };
    out.erase(std::remove_if(out.begin(), out.end(), is_none), out.end());
    return out;
  }

 private:
  [[nodiscard]] bool is_beyond(double off_mm, double sign, const Eigen::Vector3d& place_mm) const {
    if (!(off_mm > by_mm_)) return false;
    const Band band = band_at(read_.plan, place_mm).band;
    return off_mm > (sign > 0.0 ? band.over_mm : band.under_mm) + by_mm_;
  }

  [[nodiscard]] std::vector<Index> read_beyond(double sign) const {
    return indices_where(read_.deviations.reading.size(), [&](std::size_t k) {
      const auto i = static_cast<Index>(k);
      const int cell = read_.readings.cell_of_point[i];
      return cell >= 0 &&
             is_beyond(sign * read_.deviations.signed_mm[i], sign, read_.cells.center_mm.col(cell));
    });
  }

  [[nodiscard]] std::vector<Index> set_aside_beyond(double sign) const {
    const auto& reading = read_.deviations.reading;
    return indices_where(reading.size(), [&](std::size_t i) {
      if (!is_set_aside(reading[i])) return false;
      const Eigen::Vector3d p = read_.points_mm.col(static_cast<Index>(i));
      const SurfacePoint at = read_.design.nearest(p, read_.deviations.reach_mm);
      return at.found() && is_beyond(sign * read_.design.signed_distance(p, at), sign, at.foot_mm);
    });
  }

  [[nodiscard]] bool counts(const PointPatch& patch) const {
    const auto read = std::count_if(patch.members.begin(), patch.members.end(), [&](Index i) {
      return !is_set_aside(read_.deviations.reading[static_cast<std::size_t>(i)]);
    });
    return read >= needed_ || (read >= kFewestRead && !runs_on(patch));
  }

  /// Into surface that is too far off to be the part's.
  [[nodiscard]] bool runs_on(const PointPatch& patch) const {
    std::vector<int> members(patch.members.begin(), patch.members.end());
    std::sort(members.begin(), members.end());
    const PointIndex index(read_.points_mm, std::move(members));
    const auto& reading = read_.deviations.reading;
    for (std::size_t i = 0; i < reading.size(); ++i) {
      if (reading[i] != Reading::TooFar) continue;
      const Eigen::Vector3d p = read_.points_mm.col(static_cast<Index>(i));
      if (!index.nearest(p, 1, apart_mm_).empty()) return true;
    }
    return false;
  }

  const ReadPoints& read_;
  double by_mm_, apart_mm_, point_mm2_;
  int needed_;
};

}  // namespace

std::vector<PointPatch> points_beyond(const ReadPoints& read) {
  const Beyond beyond(read);
  std::vector<PointPatch> out;
  for (const double sign : {1.0, -1.0}) {
    for (PointPatch& patch : beyond.patches(sign))
      out.push_back(std::move(patch));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const PointPatch& a, const PointPatch& b) { return a.points > b.points; });
  return out;
}

std::vector<std::string> why_beyond(const std::vector<PointPatch>& patches) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(2, patches.size()); ++i)
    out.push_back(std::to_string(patches[i].points) + " scan points about " +
                  place_words(patches[i].center_mm) +
                  " lie beyond the limit by more than U, though no patch does: look there for a "
                  "burr, a splash or a nick");
  return out;
}

}  // namespace trammel
