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

Eigen::VectorXi shown_regions(const Inspection& inspection) {
  const Eigen::VectorXi& region_of_cell = inspection.surface.region;
  Eigen::VectorXi outside = Eigen::VectorXi::Zero(region_of_cell.size());
  std::vector<const Region*> by_id;
  for (const Region& region : inspection.verdict.regions) {
    const auto id = static_cast<std::size_t>(region.id);
    if (by_id.size() <= id) by_id.resize(id + 1, nullptr);
    by_id[id] = &region;
  }
  std::vector<bool> has_outside(by_id.size(), false);
  for (Eigen::Index c = 0; c < region_of_cell.size(); ++c) {
    const auto id = static_cast<std::size_t>(region_of_cell[c]);
    if (id == 0 || id >= by_id.size() || by_id[id] == nullptr) continue;
    if (!is_outside(inspection, *by_id[id], c)) continue;
    outside[c] = region_of_cell[c];
    has_outside[id] = true;
  }
  for (Eigen::Index c = 0; c < region_of_cell.size(); ++c) {
    const auto id = static_cast<std::size_t>(region_of_cell[c]);
    if (id < has_outside.size() && !has_outside[id]) outside[c] = region_of_cell[c];
  }
  return outside;
}

}  // namespace trammel
