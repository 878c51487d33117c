#include "trammel/judge/region_words.hpp"

#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

std::string name_of(const Region& region) {
  return "Region " + std::to_string(region.id) + " at " + place_words(region.center_mm);
}

/// Small ones with a digit more: a place of 0.4 mm² is not one of 0.
std::string area_words(double area_mm2) {
  return fixed(area_mm2, area_mm2 < 9.95 ? 1 : 0) + " mm²";
}

std::string absence_reason(const Region& region) {
  const std::string what = absence_words(region);
  if (region.absence == Absence::Hole) return name_of(region) + " is a " + what;
  return name_of(region) +
         (region.outcome == Outcome::Fail ? " is missing: " : " may be missing: ") + what +
         ", over " + area_words(region.area_mm2) +
         (region.lacks ? ", about " + size_words(*region.lacks) : "");
}

std::string in_zone(const Region& region) {
  return region.zone.empty() ? "" : ", in zone '" + region.zone + "'";
}

}  // namespace

std::string region_reason(const Region& region) {
  if (region.absence != Absence::None) return absence_reason(region) + in_zone(region);
  const int digits = decimals_for(region.limit_mm);
  return name_of(region) + " is " + kind_name(region.kind) + " by up to " +
         fixed(std::abs(region.peak_mm), digits) + " mm, limit " + fixed(region.limit_mm, digits) +
         ", over " + area_words(region.area_mm2) + in_zone(region);
}

std::string why_open(const Region& region, double expanded_mm) {
  if (region.runs_into_unseen)
    return ", and runs on into surface that was not seen: it may be larger";
  if (region.adds_up)
    return ": small by itself, but with what stands beside it, or out from it, as large as what is "
           "judged";
  return ": within U = " + fixed(expanded_mm, 3) + " mm of the limit, or too small to be sure";
}

std::string absence_advice(const Region& region) {
  const std::string where =
      "region " + std::to_string(region.id) + " at " + place_words(region.center_mm);
  switch (region.absence) {
    case Absence::Hole:
      return "Close the " + absence_words(region) + ", " + where + ", or add it to the design";
    case Absence::Feature:
      return "Make what the design has in " + where + " and the part has not (" +
             fixed(region.area_mm2, 0) + " mm² of it are missing" +
             (region.lacks ? ", about " + size_words(*region.lacks) : "") + ")";
    default:
      if (region.lacks)
        return "Weld up what is cut away through the edge in " + where + " (about " +
               size_words(*region.lacks) + ") and cut it to shape again, or make the part anew";
      return "Make good the material that is missing in " + where + " (" +
             fixed(region.area_mm2, 0) + " mm²)";
  }
}

bool is_same_hole(const Region& a, const Region& b) {
  if (!a.hole_mm || !b.hole_mm) return false;
  const Eigen::Vector3d apart = b.center_mm - a.center_mm;
  const double sideways = (apart - apart.dot(a.normal) * a.normal).norm();
  return std::abs(a.normal.dot(b.normal)) > 0.9 && sideways < 0.5 * *a.hole_mm;
}

}  // namespace trammel
