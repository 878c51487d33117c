#include "trammel/report/paper_regions.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/report/feature_tables.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

/// Rows that leave room on the page for holes and how the part was set onto the design; so many
/// others stand beside failing ones at least, and so few more are not left out for.
constexpr std::size_t kUsualRows = 12, kLeastOthers = 4, kSpare = 2;

bool fails(const Region& region) {
  return region.outcome == Outcome::Fail;
}

}  // namespace

std::vector<std::size_t> regions_on_paper(const Verdict& verdict) {
  const auto& regions = verdict.regions;
  const auto failing =
      static_cast<std::size_t>(std::count_if(regions.begin(), regions.end(), fails));
  std::size_t others = std::max(kUsualRows, failing + kLeastOthers) - failing;
  if (regions.size() - failing <= others + kSpare) others = regions.size() - failing;
  std::vector<std::size_t> told;
  for (std::size_t i = 0; i < regions.size() && told.size() < kMostTableRows; ++i) {
    if (!fails(regions[i]) && others == 0) continue;
    if (!fails(regions[i])) --others;
    told.push_back(i);
  }
  return told;
}

std::string rest_of_regions(const Verdict& verdict, int decimals) {
  const std::vector<std::size_t> told = regions_on_paper(verdict);
  std::size_t count = 0, undecided = 0, listed = 0;
  double area_mm2 = 0.0, most_mm = 0.0;
  for (std::size_t i = 0; i < verdict.regions.size(); ++i) {
    if (std::binary_search(told.begin(), told.end(), i)) continue;
    const Region& region = verdict.regions[i];
    ++count;
    undecided += region.outcome == Outcome::Undecided ? 1 : 0;
    listed += region.outcome == Outcome::Listed ? 1 : 0;
    area_mm2 += region.area_mm2;
    most_mm = std::max(most_mm, std::abs(region.peak_mm));
  }
  if (count == 0) return {};
  const std::string which = undecided == count ? " undecided" : listed == count ? " listed" : "";
  return "And " + std::to_string(count) + " more" + which +
         (count == 1 ? " place, " : " places, ") + area_words(area_mm2) + " in all, off by " +
         fixed(most_mm, decimals) + " mm at most: regions.csv has them, sheet.html shows them.";
}

std::string regions_heading(const Verdict& verdict) {
  const bool open =
      std::any_of(verdict.regions.begin(), verdict.regions.end(),
                  [](const Region& region) { return region.outcome == Outcome::Undecided; });
  return open ? "Places outside the band, or too near its limit to tell"
              : "Places outside the band";
}

}  // namespace trammel
