#include "trammel/judge/open_edges.hpp"

#include <algorithm>

#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// On surface eleven points lie as near on average, scanned at random or not.
constexpr double kCompanyWithin = 4.0;  ///< spacings
constexpr std::size_t kLeastCompany = 4;

std::vector<Index> points_beyond_band(const OpenEdgeEvidence& e) {
  return indices_where(e.deviations.reading.size(), [&](std::size_t k) {
    if (e.deviations.reading[k] != Reading::BorderEdge) return false;
    const auto i = static_cast<Index>(k);
    const Eigen::Vector3d foot_mm = e.deviations.foot_mm.col(i);
    const Band band = band_at(e.plan, foot_mm).band;
    return (e.points_mm.col(i) - foot_mm).norm() >
           std::min(band.over_mm, band.under_mm) - e.expanded_mm;
  });
}

/// Those that others of them lie about.
std::vector<Index> in_company(const Eigen::Matrix3Xd& points_mm, double spacing_mm) {
  const PointIndex index(points_mm);
  return indices_where(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    return index.within(points_mm.col(static_cast<Index>(i)), kCompanyWithin * spacing_mm).size() >
           kLeastCompany;
  });
}

}  // namespace

std::vector<std::string> beyond_open_edges(const OpenEdgeEvidence& e) {
  const std::vector<Index> beyond = points_beyond_band(e);
  if (static_cast<double>(beyond.size()) * e.area_per_point_mm2 < e.plan.least_area_mm2) return {};
  Eigen::Matrix3Xd places_mm(3, static_cast<Index>(beyond.size()));
  for (std::size_t k = 0; k < beyond.size(); ++k)
    places_mm.col(static_cast<Index>(k)) = e.points_mm.col(beyond[k]);
  const std::vector<Index> surface = in_company(places_mm, e.spacing_mm);
  const double area_mm2 = static_cast<double>(surface.size()) * e.area_per_point_mm2;
  if (surface.empty() || area_mm2 < e.plan.least_area_mm2) return {};
  return {"Some " + fixed(area_mm2, 0) + " mm² of scanned surface, near " +
          place_words(places_mm.col(surface[surface.size() / 2])) +
          " for one, lie where the design is open and has no face: whether that is as it should be "
          "cannot be known. Close the design there"};
}

}  // namespace trammel
