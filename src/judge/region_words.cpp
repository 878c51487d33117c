#include "trammel/judge/region_words.hpp"

#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/model/words.hpp"

namespace trammel {

std::string region_reason(const Region& region) {
  const int digits = decimals_for(region.limit_mm);
  std::string words = "Region " + std::to_string(region.id) + " at " +
                      place_words(region.center_mm) + " is " + kind_name(region.kind) +
                      " by up to " + fixed(std::abs(region.peak_mm), digits) + " mm, limit " +
                      fixed(region.limit_mm, digits) + ", over " + fixed(region.area_mm2, 0) +
                      " mm²";
  if (!region.zone.empty()) words += ", in zone '" + region.zone + "'";
  return words;
}

std::string why_open(const Region& region, double expanded_mm) {
  if (region.runs_into_unseen)
    return ", and runs on into surface that was not seen: it may be larger";
  if (region.adds_up)
    return ": small by itself, but with what stands beside it, or out from it, as large as what is "
           "judged";
  return ": within U = " + fixed(expanded_mm, 3) + " mm of the limit, or too small to be sure";
}

}  // namespace trammel
