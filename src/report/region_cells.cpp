#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

bool is_outside(const Inspection& inspection, const Region& region, Eigen::Index c) {
  const double deviation = inspection.surface.readings.deviation_mm[c];
  const Band band = band_at(inspection.plan, inspection.surface.cells.center_mm.col(c)).band;
  return region.kind == RegionKind::Proud ? deviation > band.over_mm : deviation < -band.under_mm;
}

}  // namespace

std::vector<Eigen::Index> cells_outside(const Inspection& inspection, const Region& region) {
  std::vector<Eigen::Index> all, outside;
  for (Eigen::Index c = 0; c < inspection.surface.region.size(); ++c) {
    if (inspection.surface.region[c] != region.id) continue;
    all.push_back(c);
    if (is_outside(inspection, region, c)) outside.push_back(c);
  }
  return outside.empty() ? all : outside;
}

}  // namespace trammel
