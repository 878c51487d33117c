#include "trammel/judge/region_figures.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

namespace trammel {
namespace {

double area_of(const SurfaceCells& cells, const std::vector<int>& some) {
  double sum = 0.0;
  for (const int c : some)
    sum += cells.area_mm2[c];
  return sum;
}

std::vector<int> those_there(const CellReadings& readings, const std::vector<int>& of_region) {
  std::vector<int> out;
  std::copy_if(of_region.begin(), of_region.end(), std::back_inserter(out),
               [&](int c) { return !readings.is_missing(c); });
  return out;
}

double mean_of(const SurfaceCells& cells, const CellReadings& readings,
               const std::vector<int>& told) {
  double sum = 0.0;
  for (const int c : told)
    sum += cells.area_mm2[c] * readings.deviation_mm[c];
  return sum / std::max(area_of(cells, told), std::numeric_limits<double>::min());
}

int peak_of(const SurfaceCells& cells, const CellReadings& readings, std::vector<int> told,
            double least_area_mm2) {
  const double wanted_mm2 = kProvenShare * std::min(least_area_mm2, area_of(cells, told));
  std::sort(told.begin(), told.end(), [&](int a, int b) {
    const double of_a = std::abs(readings.deviation_mm[a]),
                 of_b = std::abs(readings.deviation_mm[b]);
    return of_a != of_b ? of_a > of_b : a < b;
  });
  double sum_mm2 = 0.0;
  for (const int c : told) {
    sum_mm2 += cells.area_mm2[c];
    if (sum_mm2 >= wanted_mm2) return c;
  }
  return told.back();
}

}  // namespace

RegionFigures region_figures(const SurfaceCells& cells, const CellReadings& readings,
                             const std::vector<int>& of_region, double least_area_mm2) {
  RegionFigures out;
  const std::vector<int> there = those_there(readings, of_region);
  out.area_mm2 = area_of(cells, of_region);
  out.missing_mm2 = out.area_mm2 - area_of(cells, there);
  const bool is_missing = there.empty() || 2.0 * out.missing_mm2 > out.area_mm2;
  if (is_missing) out.absence = Absence::Material;
  const std::vector<int>& told = is_missing ? of_region : there;
  out.mean_mm = mean_of(cells, readings, told);
  out.peak = peak_of(cells, readings, told, least_area_mm2);
  return out;
}

}  // namespace trammel
