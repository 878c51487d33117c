#include "trammel/judge/slits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/poisson.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Half widths of the strips: a hair crack, a saw cut, what a disc of the least area just misses.
constexpr std::array<double, 3> kHalfWidths_mm = {0.3, 0.6, 1.0};
/// The strips beside it in which strays are counted reach so many half widths from its middle.
constexpr double kBeside = 5.0;
/// Long cracks bend, and are found by their pieces.
constexpr double kLongest_mm = 40.0;
/// A strip is so many half widths long at least, or it has no direction.
constexpr double kLongerThanWide = 4.0;
/// Ends are tried among so many of the nearest points, so that a scan of many strays takes no
/// longer than its number of points; a slit among so many others shows in a shorter piece.
constexpr int kEndsTried = 40;
constexpr int kFewestInSlit = 3;
/// Of a slit told by points within the band: one deeper than that may be a stray.
constexpr int kBeyondInSlit = 2;
/// Of a slit told by points within the band, the fullest quarter of its length holds no more than
/// two thirds of them, or four: so many in one place are a hole's wall off its place.
constexpr double kClump = 0.25, kMostInClump = 2.0 / 3.0;
constexpr std::size_t kFewestOfClump = 5;
/// Beneath one flat face, or the two of a wall.
constexpr double kOneWall = 0.9;
/// A strip runs along its face.
constexpr double kAlongFace = 0.5;
/// So many slits in a scan of a good part are too few to matter.
constexpr double kByChanceSlits = 0.01;
/// What a bare strip may say at most: of scans in rows, every hundredth line may lie along one.
constexpr double kBareByRows = 0.01;
/// Surface is looked for so far to both sides of the bare strip.
constexpr double kSurfaceBeside_mm = 3.0;

/// A plane strip between two points, at right angles to the face over it.
struct Strip {
  Vector3d from_mm, along, aside, up;
  double long_mm = 0.0, half_mm = 0.0;
  double depth_mm = 0.0;  ///< of its first end, under the face

  /// @return (along, aside, up), mm
  [[nodiscard]] Vector3d place_in(const Vector3d& p) const {
    const Vector3d d = p - from_mm;
    return {along.dot(d), aside.dot(d), up.dot(d)};
  }
  /// Its ends too, but for rounding.
  [[nodiscard]] bool reaches(const Vector3d& place) const {
    constexpr double kRounding_mm = 1e-9;
    return place.x() > -kRounding_mm && place.x() < long_mm + kRounding_mm &&
           std::abs(place.z()) <= kSeenDeep_mm;
  }
  [[nodiscard]] Vector3d middle_mm() const { return from_mm + 0.5 * long_mm * along; }
  /// Of a ball about the middle that holds what lies so far aside.
  [[nodiscard]] double radius_mm(double aside_mm) const {
    return std::hypot(0.5 * long_mm, aside_mm, kSeenDeep_mm);
  }
};

struct FoundSlit {
  Slit slit;
  double log_chance = 0.0;
};

class SlitSearch {
 public:
  /// @param fewest_beyond  of a slit's points, deeper than the band
  /// @param surface        index of all points of the scan
  SlitSearch(const SlitEvidence& e, const PointIndex& surface, std::vector<DeepPoint> deep,
             const DeepMaterial& material, int fewest_beyond)
      : e_(e),
        surface_(surface),
        deep_(std::move(deep)),
        per_mm2_(static_cast<double>(deep_.size()) / material.area_mm2),
        per_mm3_(static_cast<double>(deep_.size()) / material.volume_mm3),
        fewest_beyond_(fewest_beyond),
        deep_mm_(3, static_cast<Index>(deep_.size())),
        is_deep_(static_cast<std::size_t>(e.scan.points_mm.cols()), 0),
        index_(fill()),
        end_index_(deep_mm_, ends_) {}

  /// The best slit from each end, where there is one, of as many searches as this.
  [[nodiscard]] std::vector<FoundSlit> find(int searches) const {
    std::vector<std::vector<Strip>> strips(ends_.size());
    for_each_index(
        ends_.size(), [&](std::size_t k) { strips[k] = strips_from(ends_[k]); }, 16);
    double tried = 0.0;
    for (const std::vector<Strip>& some : strips)
      tried += static_cast<double>(some.size());
    std::vector<FoundSlit> best(ends_.size());
    const auto take_best = [&](std::size_t k) {
      for (const Strip& strip : strips[k]) {
        FoundSlit found = judged(strip, std::log(searches * tried));
        if (found.log_chance < best[k].log_chance) best[k] = std::move(found);
      }
    };
    for_each_index(ends_.size(), take_best, 16);
    return best;
  }

 private:
  /// What lies in a strip.
  struct Filled {
    Slit slit;
    int beyond = 0, beside = 0;
    std::vector<double> along_mm;          ///< of its points
    double left_mm = 0.0, right_mm = 0.0;  ///< outermost of its points, aside
  };
  /// Points of the surface about a strip.
  struct Surface {
    int between = 0, beside = 0;
    int left = 0, right = 0;  ///< of those beside, level with the face over the strip
    double share = 0.0;       ///< of the width between in that beside; 0 where it has none
  };

  const Eigen::Matrix3Xd& fill() {
    for (std::size_t k = 0; k < deep_.size(); ++k) {
      deep_mm_.col(static_cast<Index>(k)) = e_.scan.points_mm.col(deep_[k].point);
      is_deep_[static_cast<std::size_t>(deep_[k].point)] = 1;
      if (deep_[k].kind != Depth::Shallow) ends_.push_back(static_cast<int>(k));
    }
    return deep_mm_;
  }

  [[nodiscard]] const DeepPoint& deep(int k) const { return deep_[static_cast<std::size_t>(k)]; }

  /// To each other end, of each width.
  [[nodiscard]] std::vector<Strip> strips_from(int k) const {
    std::vector<Strip> out;
    const Vector3d a = deep_mm_.col(k), up = deep(k).face;
    for (const Neighbour& end : end_index_.nearest(a, kEndsTried + 1, kLongest_mm)) {
      const Vector3d d = deep_mm_.col(end.index) - a, flat = d - up.dot(d) * up;
      const bool one_wall = std::abs(up.dot(deep(end.index).face)) > kOneWall;
      if (!one_wall || std::abs(up.dot(d)) > kAlongFace * d.norm()) continue;
      const Vector3d along = flat.normalized();
      for (const double half_mm : kHalfWidths_mm)
        if (flat.norm() >= kLongerThanWide * half_mm)
          out.push_back({a, along, up.cross(along), up, flat.norm(), half_mm, deep(k).depth_mm});
    }
    return out;
  }

  [[nodiscard]] Filled filled(const Strip& strip) const {
    Filled out;
    const double reach_mm = kBeside * strip.half_mm;
    for (const Neighbour& other : index_.within(strip.middle_mm(), strip.radius_mm(reach_mm))) {
      const Vector3d place = strip.place_in(deep_mm_.col(other.index));
      const double aside_mm = std::abs(place.y());
      if (!strip.reaches(place) || aside_mm > reach_mm) continue;
      if (aside_mm > strip.half_mm) {
        ++out.beside;
        continue;
      }
      const DeepPoint& point = deep(other.index);
      out.slit.members.push_back(point.point);
      out.slit.deepest_mm = std::max(out.slit.deepest_mm, point.depth_mm);
      out.beyond += point.kind == Depth::Beyond ? 1 : 0;
      out.left_mm = std::min(out.left_mm, place.y());
      out.right_mm = std::max(out.right_mm, place.y());
    }
    out.slit.points = static_cast<int>(out.slit.members.size());
    out.slit.from_mm = strip.from_mm;
    out.slit.to_mm = strip.from_mm + strip.long_mm * strip.along;
    return out;
  }

  /// With a chance of 1 where it is no slit.
  [[nodiscard]] FoundSlit judged(const Strip& strip, double log_tried) const {
    Filled found = filled(strip);
    if (found.beyond < fewest_beyond_ || found.slit.points < kFewestInSlit ||
        strip.long_mm * found.slit.deepest_mm < e_.scan.plan.least_area_mm2)
      return {};
    // Two made the strip. Both faces of a wall send it their strays.
    const double mean =
        std::max(4.0 * per_mm2_ * strip.long_mm * strip.half_mm, found.beside / (kBeside - 1.0));
    double log_chance = log_tried + log_as_many(found.slit.points - 2, mean);
    const double log_enough = std::log(kByChanceSlits), log_rows = std::log(kBareByRows);
    if (log_chance + log_rows > log_enough) return {};
    // In the corner of a wall and its base lies more material than under two faces.
    const double strays = per_mm3_ * material_mm3(strip);
    log_chance = std::max(log_chance, log_tried + log_as_many(found.slit.points - 2, strays));
    if (log_chance + log_rows > log_enough) return {};
    const Surface surface = surface_about(strip, found.left_mm, found.right_mm);
    if (log_chance > log_enough)
      log_chance += std::max(log_rows, log_as_few(surface.between, surface.share * surface.beside));
    if (log_chance > log_enough) return {};
    // Points within the band may be all of a face that is off its place.
    const bool in_place = std::min(surface.left, surface.right) >= found.slit.points;
    if (fewest_beyond_ >= kBeyondInSlit && (!in_place || is_clump(found.slit, strip))) return {};
    return {std::move(found.slit), log_chance};
  }

  [[nodiscard]] bool is_clump(const Slit& slit, const Strip& strip) const {
    std::vector<double> along_mm;
    for (const Index member : slit.members)
      along_mm.push_back(strip.place_in(e_.scan.points_mm.col(member)).x());
    std::sort(along_mm.begin(), along_mm.end());
    std::size_t most = 0;
    for (auto from = along_mm.begin(); from != along_mm.end(); ++from) {
      const auto to = std::upper_bound(from, along_mm.end(), *from + kClump * strip.long_mm);
      most = std::max(most, static_cast<std::size_t>(to - from));
    }
    return most >= kFewestOfClump &&
           static_cast<double>(most) > kMostInClump * static_cast<double>(along_mm.size());
  }

  /// Of the strip, deep under every face.
  [[nodiscard]] double material_mm3(const Strip& strip) const {
    constexpr int kAlong = 5, kDown = 24;
    const double least_mm = beyond_band_mm(e_.scan, strip.from_mm);
    int deep = 0;
    for (int i = 0; i < kAlong; ++i) {
      for (int k = 0; k < kDown; ++k) {
        const double up_mm = kSeenDeep_mm * (2.0 * (k + 0.5) / kDown - 1.0);
        const Vector3d p =
            strip.from_mm + (i + 0.5) / kAlong * strip.long_mm * strip.along + up_mm * strip.up;
        deep += e_.design.signed_distance(p, e_.design.nearest(p)) < -least_mm ? 1 : 0;
      }
    }
    const double all_mm3 = strip.long_mm * 2.0 * strip.half_mm * 2.0 * kSeenDeep_mm;
    return all_mm3 * deep / (kAlong * kDown);
  }

  [[nodiscard]] Surface surface_about(const Strip& strip, double left_mm, double right_mm) const {
    Surface out;
    const double noise_mm = 2.0 * e_.scan.noise_mm;
    const double from_mm = left_mm + noise_mm, to_mm = right_mm - noise_mm;
    const double reach_mm = kSurfaceBeside_mm + std::max(-left_mm, right_mm);
    for (const Neighbour& other : surface_.within(strip.middle_mm(), strip.radius_mm(reach_mm))) {
      const Vector3d place = strip.place_in(e_.scan.points_mm.col(other.index));
      if (is_deep_[static_cast<std::size_t>(other.index)] != 0 || !strip.reaches(place)) continue;
      if (place.y() > from_mm && place.y() < to_mm) ++out.between;
      const double off_mm = std::max(left_mm - place.y(), place.y() - right_mm);
      if (off_mm <= noise_mm || off_mm > kSurfaceBeside_mm) continue;
      ++out.beside;
      if (std::abs(place.z() - strip.depth_mm) > kLeastInMaterial_mm) continue;
      ++(place.y() < left_mm ? out.left : out.right);
    }
    out.share = std::max(0.0, to_mm - from_mm) / (2.0 * (kSurfaceBeside_mm - noise_mm));
    return out;
  }

  const SlitEvidence& e_;
  const PointIndex& surface_;
  std::vector<DeepPoint> deep_;
  double per_mm2_, per_mm3_;  ///< of deep points: on the faces, in the material under them
  int fewest_beyond_;
  Eigen::Matrix3Xd deep_mm_;
  std::vector<int> ends_;              ///< of `deep_`, not shallow
  std::vector<std::uint8_t> is_deep_;  ///< #P
  PointIndex index_;                   ///< of `deep_mm_`
  PointIndex end_index_;               ///< of those that strips are laid between
};

/// Takes the points, unless another slit has one of them.
bool take(const Slit& slit, std::vector<std::uint8_t>& taken) {
  const auto is_taken = [&](Index i) { return taken[static_cast<std::size_t>(i)] != 0; };
  if (std::any_of(slit.members.begin(), slit.members.end(), is_taken)) return false;
  for (const Index i : slit.members)
    taken[static_cast<std::size_t>(i)] = 1;
  return true;
}

}  // namespace

std::vector<Slit> slits(const SlitEvidence& evidence) {
  const std::vector<DeepPoint> all = deep_points(evidence);
  const auto ends_at = [](const DeepPoint& point) { return point.kind != Depth::Shallow; };
  std::vector<DeepPoint> deep;
  std::copy_if(all.begin(), all.end(), std::back_inserter(deep), ends_at);
  if (deep.size() < 2 || static_cast<int>(all.size()) < kFewestInSlit) return {};
  DeepMaterial material{deep_area_mm2(evidence), std::numeric_limits<double>::infinity()};
  if (material.area_mm2 <= 0.0) return {};
  const PointIndex surface(evidence.scan.points_mm);
  const auto search = [&] {
    std::vector<FoundSlit> found = SlitSearch(evidence, surface, deep, material, 1).find(2);
    for (FoundSlit& one : SlitSearch(evidence, surface, all, material, kBeyondInSlit).find(2))
      found.push_back(std::move(one));
    found.erase(std::remove_if(found.begin(), found.end(),
                               [](const FoundSlit& one) { return one.log_chance >= 0.0; }),
                found.end());
    return found;
  };
  std::vector<FoundSlit> found = search();
  if (found.empty()) return {};
  // The volume, which only makes chance likelier, takes long: it is for what is found without.
  material.volume_mm3 = deep_volume_mm3(evidence);
  found = search();
  std::stable_sort(found.begin(), found.end(), [](const FoundSlit& a, const FoundSlit& b) {
    return a.log_chance < b.log_chance;
  });
  std::vector<std::uint8_t> taken(static_cast<std::size_t>(evidence.scan.points_mm.cols()), 0);
  std::vector<Slit> out;
  for (FoundSlit& one : found)
    if (take(one.slit, taken)) out.push_back(std::move(one.slit));
  return out;
}

std::vector<std::string> why_slits(const std::vector<Slit>& found) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(2, found.size()); ++i) {
    const Slit& slit = found[i];
    out.push_back("A crack or slit may run from " + place_words(slit.from_mm) + " to " +
                  place_words(slit.to_mm) + ": " + std::to_string(slit.points) +
                  " scan points lie in line there, up to " + fixed(slit.deepest_mm, 1) +
                  " mm deep in the material");
  }
  return out;
}

}  // namespace trammel
