#include "trammel/changes/told_places.hpp"

#include <algorithm>

#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/changes/lone_surfaces.hpp"
#include "trammel/changes/open_places.hpp"
#include "trammel/changes/places_amid.hpp"
#include "trammel/changes/voids.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostOpenTold = 3;

/// What of a scan's surface needs no more telling.
struct ToldAlready {
  const PointIndex& changed;  ///< core points of changes, where they were and where they are
  const PointIndex& middles;  ///< of places told of
};

/// 3 × n, old frame.
Eigen::Matrix3Xd changed_places(const CorePoints& cores) {
  const auto members =
      indices_where(cores.change.size(), [&](std::size_t i) { return cores.change[i] > 0; });
  const auto count = static_cast<Eigen::Index>(members.size());
  Eigen::Matrix3Xd out(3, 2 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Index at = members[static_cast<std::size_t>(i)];
    out.col(2 * i) = cores.points_mm.col(at);
    out.col(2 * i + 1) = out.col(2 * i) + cores.change_mm[at] * cores.normals.col(at);
  }
  return out;
}

/// Most of it lies where a change was found, or a place told of is its.
bool is_told(const PlaceAmid& amid, const CorePoints& samples, const ToldAlready& told,
             double cylinder_mm) {
  const auto is_near = [&](const PointIndex& places, Eigen::Index at) {
    return !places.nearest(samples.points_mm.col(at), 1, cylinder_mm).empty();
  };
  std::size_t changed = 0;
  for (const Eigen::Index at : amid.samples) {
    if (is_near(told.middles, at)) return true;
    changed += is_near(told.changed, at) ? 1U : 0U;
  }
  return 2 * changed > amid.samples.size();
}

Eigen::Matrix3Xd middles_of(const std::vector<ToldPlace>& places) {
  Eigen::Matrix3Xd out(3, static_cast<Eigen::Index>(places.size()));
  for (std::size_t i = 0; i < places.size(); ++i)
    out.col(static_cast<Eigen::Index>(i)) = places[i].place.center_mm;
  return out;
}

/// What `own` shows alone: in what both show, and else.
std::vector<ToldPlace> places_shown_by(const ScanShown& own, const ScanShown& other, bool in_old,
                                       const Changes& c, const M3c2Settings& how) {
  const std::vector<OpenPlace> holes = open_places_among(
      own.cores, own.is_only, {other.cloud.points_mm, other.cloud.index, other.cores.points_mm},
      c.scales, c.least_area_mm2, c.fit.sides_known);
  std::vector<ToldPlace> out;
  for (const OpenPlace& hole : holes)
    out.push_back({hole, true});
  for (const OpenPlace& lone : lone_surfaces_among(
           own.cores, own.is_only, {other.cloud, other.cores.points_mm, other.is_only}, c.scales,
           how, c.least_area_mm2, holes))
    out.push_back({lone, false});
  const Eigen::Matrix3Xd changed_mm = changed_places(c.cores), middles_mm = middles_of(out);
  const PointIndex changed(changed_mm), middles(middles_mm);
  const CorePoints voids =
      voids_between(own.cloud, own.cores.points_mm, other.cloud, other.cores.points_mm, how);
  for (const PlaceAmid& amid : places_amid(voids, own.cloud, other.cloud, other.cores.points_mm,
                                           c.scales, how, c.fit, c.least_area_mm2))
    if (!is_told(amid, voids, {changed, middles}, c.scales.cylinder_mm))
      out.push_back({amid.place, amid.in_surface});
  for (ToldPlace& one : out)
    one.place.in_old = in_old;
  return out;
}

std::string words_of(const ToldPlace& told) {
  const OpenPlace& place = told.place;
  const std::string where = std::string("Only the ") + (place.in_old ? "old" : "new") +
                            " scan shows a surface near " + place_words(place.center_mm) + ", " +
                            fixed(place.area_mm2, 0) + " mm\u00b2";
  if (told.in_surface)
    return where + ", though the other shows all around it: " +
           (place.in_old ? "there may be a hole now" : "a hole may have been closed") +
           ", or it was not scanned";
  return where + ": " +
         (place.in_old ? "it may have been taken away since, or it was not scanned again"
                       : "it may have been added since, or it was not scanned before");
}

}  // namespace

std::vector<ToldPlace> told_places(const ScanShown& then, const ScanShown& now,
                                   const Changes& changes, const M3c2Settings& how) {
  std::vector<ToldPlace> out = places_shown_by(then, now, true, changes, how);
  for (const ToldPlace& one : places_shown_by(now, then, false, changes, how))
    out.push_back(one);
  std::stable_sort(out.begin(), out.end(), [](const ToldPlace& a, const ToldPlace& b) {
    return a.place.area_mm2 > b.place.area_mm2;
  });
  return out;
}

std::vector<std::string> words_of_places(const std::vector<ToldPlace>& places) {
  std::vector<std::string> out;
  double left_mm2 = 0.0;
  for (const ToldPlace& told : places) {
    if (out.size() < kMostOpenTold)
      out.push_back(words_of(told));
    else
      left_mm2 += told.place.area_mm2;
  }
  if (places.size() > kMostOpenTold)
    out.push_back(counted(places.size() - kMostOpenTold, "more such place", "more such places") +
                  ", " + fixed(left_mm2, 0) + " mm\u00b2 together");
  return out;
}

}  // namespace trammel
