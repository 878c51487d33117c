#include "trammel/judge/rods.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/judge/strays.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// About a point of a rod: 3 mm, or so many spacings, to hold a handful of its points.
constexpr double kAboutRod_mm = 3.0, kAboutRodSpacings = 8.0;
constexpr int kFewestAbout = 4;
constexpr double kShareInLine = 0.75;
/// Fewer may be strays that fell together.
constexpr int kFewestOfRod = 8;
/// As high as what grips a wall, and longer than wide.
constexpr double kRises_mm = 3.0, kRodLong_mm = 5.0;
/// Of its points, whose steps are as of a Poisson process: e^−3 of them are wider.
constexpr double kWidestGap = 3.0;
/// Around its foot the face goes on so far, at its level.
constexpr double kFaceGoesOn_mm = 1.0, kFaceLevel_mm = 0.2;
constexpr int kAroundFoot = 8;

class RodSearch {
 public:
  explicit RodSearch(const RodEvidence& e)
      : e_(e),
        about_mm_(std::max(kAboutRod_mm, kAboutRodSpacings * e.spacing_mm)),
        thick_mm_(std::sqrt(e.plan.least_area_mm2 / kPi)),
        off_(off_part()) {}

  [[nodiscard]] std::vector<Rod> find() const {
    if (off_.size() < static_cast<std::size_t>(kFewestOfRod)) return {};
    const PointIndex index(e_.points_mm, std::vector<int>(off_.begin(), off_.end()));
    std::vector<std::uint8_t> in_line(off_.size(), 0);
    for_each_index(
        off_.size(), [&](std::size_t k) { in_line[k] = is_in_line(index, off_[k]) ? 1 : 0; }, 64);
    std::vector<Index> chosen;
    for (std::size_t k = 0; k < off_.size(); ++k)
      if (in_line[k] != 0) chosen.push_back(off_[k]);
    const double needed = std::ceil(e_.plan.least_area_mm2 / std::max(1e-9, e_.point_mm2));
    const int fewest = static_cast<int>(std::clamp(needed, 1.0 * kFewestOfRod, 1e9));
    std::vector<Rod> out;
    std::vector<PointPatch> patches = point_patches(e_.points_mm, chosen, about_mm_, fewest);
    // Strays alone are as many about a point, and may lie in line.
    if (strays_about(e_.strays_per_mm3, about_mm_) > kFewestAbout)
      drop_chance(patches, e_.points_mm, about_mm_,
                  {e_.strays_per_mm3, chosen.size(), e_.plan.least_area_mm2, e_.point_mm2});
    for (const PointPatch& patch : patches) {
      const Rod rod = described(patch);
      if (rod.points > 0) out.push_back(rod);
    }
    return out;
  }

 private:
  [[nodiscard]] std::vector<Index> off_part() const {
    const Box box = bounding_box(e_.design.mesh().vertices_mm);
    const double reach_mm = e_.deviations.reach_mm;
    return indices_where(static_cast<std::size_t>(e_.points_mm.cols()), [&](std::size_t i) {
      const Reading reading = e_.deviations.reading[i];
      const Vector3d p = e_.points_mm.col(static_cast<Index>(i));
      if (((p - box.low_mm).array() < -reach_mm).any() ||
          ((p - box.high_mm).array() > reach_mm).any())
        return false;
      if (reading == Reading::TooFar) return true;
      if (reading != Reading::Beside && reading != Reading::Stray) return false;
      const SurfacePoint at = e_.design.nearest(p, reach_mm);
      return at.found() && e_.design.signed_distance(p, at) >
                               band_at(e_.plan, at.foot_mm).band.over_mm + e_.expanded_mm;
    });
  }

  /// Most of those about the point lie along one line, and to both sides of their middle.
  [[nodiscard]] bool is_in_line(const PointIndex& index, Index point) const {
    const std::vector<Neighbour> about = index.within(e_.points_mm.col(point), about_mm_);
    if (static_cast<int>(about.size()) <= kFewestAbout) return false;
    const LocalPlane local = plane_through(e_.points_mm, about);
    const Vector3d along = local.spread.vectors.col(2);
    const auto in_line = std::count_if(about.begin(), about.end(), [&](const Neighbour& other) {
      return along.cross(e_.points_mm.col(other.index) - local.mean_mm).norm() <= thick_mm_;
    });
    return static_cast<double>(in_line) >= kShareInLine * static_cast<double>(about.size());
  }

  [[nodiscard]] bool meets_face(const SurfacePoint& at) const {
    const auto ways = directions_across(e_.design.face_normal(at.triangle), kAroundFoot);
    return std::all_of(ways.begin(), ways.end(), [&](const Vector3d& aside) {
      return e_.design.nearest(at.foot_mm + kFaceGoesOn_mm * aside, kFaceLevel_mm).found();
    });
  }

  /// Without points where it does not rise from the part.
  [[nodiscard]] Rod described(const PointPatch& patch) const {
    SurfacePoint foot;
    double farthest_mm = 0.0;
    Index first = patch.members.front();
    for (const Index i : patch.members) {
      const SurfacePoint at = e_.design.nearest(e_.points_mm.col(i));
      farthest_mm = std::max(farthest_mm, at.distance_mm);
      if (at.distance_mm >= foot.distance_mm) continue;
      foot = at;
      first = i;
    }
    Rod out;
    out.foot_mm = foot.foot_mm;
    for (const Index i : patch.members)
      out.long_mm = std::max(out.long_mm, (e_.points_mm.col(i) - e_.points_mm.col(first)).norm());
    const double step_mm = out.long_mm / patch.points;
    if (farthest_mm < kRises_mm || out.long_mm < kRodLong_mm) return out;
    if (gap_mm(foot) > kWidestGap * step_mm || !meets_face(foot)) return out;
    out.points = patch.points;
    return out;
  }

  /// What lies within the band of a face is of that face.
  [[nodiscard]] double gap_mm(const SurfacePoint& foot) const {
    return foot.distance_mm - band_at(e_.plan, foot.foot_mm).band.over_mm - e_.expanded_mm;
  }

  const RodEvidence& e_;
  double about_mm_, thick_mm_;
  std::vector<Index> off_;
};

}  // namespace

std::vector<Rod> rods(const RodEvidence& evidence) {
  return RodSearch(evidence).find();
}

std::vector<std::string> why_rods(const std::vector<Rod>& found) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(2, found.size()); ++i)
    out.push_back("Something thin that is not in the design rises from the part near " +
                  place_words(found[i].foot_mm) + ", " + fixed(found[i].long_mm, 1) +
                  " mm long or more (" + std::to_string(found[i].points) +
                  " scan points in line): if it is a clamp or a wire, take it off and scan again; "
                  "if it is not, it is proud");
  return out;
}

}  // namespace trammel
