#include "trammel/report/histogram.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/report/colours.hpp"

namespace trammel {
namespace {

constexpr int kBinsPerBand = 16;  ///< even, so that 1.5 bands are an edge as well

std::vector<double> edges_for(const Band& band) {
  const Band drawn = drawn_band(band);
  std::vector<double> edges;
  for (int i = -kBandsASide * kBinsPerBand; i <= kBandsASide * kBinsPerBand; ++i)
    edges.push_back((i < 0 ? drawn.under_mm : drawn.over_mm) * i / kBinsPerBand);
  return edges;
}

void add_to_bin(double deviation, double area, Histogram& histogram) {
  const auto& edges = histogram.edges_mm;
  const auto above = std::upper_bound(edges.begin(), edges.end(), deviation);
  if (above == edges.begin()) {
    histogram.below_mm2 += area;
  } else if (above == edges.end()) {
    histogram.beyond_mm2 += area;
  } else {
    histogram.area_mm2[static_cast<std::size_t>(above - edges.begin()) - 1] += area;
  }
}

}  // namespace

Band drawn_band(const Band& band) {
  const double wider = std::max({band.over_mm, band.under_mm, 1e-6});
  return {band.over_mm > 0.0 ? band.over_mm : wider, band.under_mm > 0.0 ? band.under_mm : wider};
}

Histogram histogram_of(const Inspection& inspection) {
  Histogram histogram;
  histogram.edges_mm = edges_for(inspection.plan.band);
  histogram.area_mm2.assign(histogram.edges_mm.size() - 1, 0.0);
  const SurfaceMap& surface = inspection.surface;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    const double deviation = surface.readings.deviation_mm[c];
    if (!std::isfinite(deviation)) continue;
    const double area = surface.cells.area_mm2[c];
    add_to_bin(deviation, area, histogram);
    histogram.seen_mm2 += area;
    const Band band = band_at(inspection.plan, surface.cells.center_mm.col(c)).band;
    const int step = step_of(deviation, band);
    if (step > 0) histogram.proud_mm2 += area;
    if (step < 0) histogram.shy_mm2 += area;
  }
  return histogram;
}

}  // namespace trammel
