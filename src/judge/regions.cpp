#include "trammel/judge/regions.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <numeric>
#include <tuple>
#include <unordered_set>

#include "trammel/base/parallel.hpp"
#include "trammel/judge/cell_patches.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/judge/region_figures.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr int kEnoughPoints = 3;
/// Where strays are many, three of them agree by chance: half of the points that usually lie on the
/// least area must speak for a fail, or so many.
constexpr double kEnoughToFail = 8.0;
constexpr std::size_t kMostRegions = 200;
constexpr double kMedianError = 1.2533;  // √(π/2): of a median, in standard errors of a mean
constexpr double kChance = 0.0228;       // one-sided, of two standard errors
/// Small patches nearer to each other than so many sides of the least area may be of one thing.
constexpr double kNearSides = 2.0;
/// Across an edge that turns more than 45° another face begins.
constexpr double kSameFace = 0.7071;

/// One cell against its band: how far beyond the limit of its side, as positive mm.
struct CellState {
  double excess_mm = -std::numeric_limits<double>::infinity();
  double limit_mm = 0.0;
  const Zone* zone = nullptr;
  bool proud = true;
};

CellState state_of(const Plan& plan, const Vector3d& center, double deviation_mm) {
  CellState out;
  const BandAt at = band_at(plan, center);
  out.zone = at.zone;
  out.proud = deviation_mm >= 0.0;
  out.limit_mm = out.proud ? at.band.over_mm : at.band.under_mm;
  if (!std::isnan(deviation_mm)) out.excess_mm = std::abs(deviation_mm) - out.limit_mm;
  return out;
}

/// A group of cells while it is being measured.
struct Group {
  std::vector<int> cells;
  double doubtful_area = 0.0;  ///< beyond limit − U
  double outside_area = 0.0;   ///< beyond the limit
  double proven_area = 0.0;    ///< well supported readings beyond limit + U
  int points = 0;
  Outcome outcome = Outcome::Listed;
  bool runs_into_unseen = false;
  bool adds_up = false;
};

class RegionFinder {
 public:
  RegionFinder(const Plan& plan, const SurfaceCells& cells, const CellReadings& readings,
               const Deviations& deviations, double expanded_mm, double noise_mm, double spacing_mm)
      : plan_(plan),
        cells_(cells),
        readings_(readings),
        deviations_(deviations),
        expanded_mm_(expanded_mm),
        median_error_mm_(kMedianError * noise_mm),
        spacing_mm_(spacing_mm),
        point_mm2_(area_of_a_point(cells, readings)),
        states_(static_cast<std::size_t>(cells.size())),
        points_outside_(states_.size(), 0) {
    for_each_index(states_.size(), [&](std::size_t i) {
      const auto c = static_cast<Index>(i);
      states_[i] = state_of(plan, cells.center_mm.col(c), readings.deviation_mm[c]);
    });
    count_points_outside();
    const double half_usual = 0.5 * plan.least_area_mm2 / point_mm2_;
    enough_to_fail_ = std::clamp<double>(half_usual, kEnoughPoints, kEnoughToFail);
  }

  FoundRegions find() {
    std::vector<std::uint8_t> taken(states_.size(), 0);
    std::vector<Group> groups;
    for (std::size_t c = 0; c < states_.size(); ++c) {
      if (taken[c] != 0 || !doubtful(c)) continue;
      Group group = grow(static_cast<int>(c), taken);
      if (judge(group)) groups.push_back(std::move(group));
    }
    join_doubtful(groups);
    add_up_small(groups);
    std::vector<std::pair<Region, std::vector<int>>> found;
    for (Group& group : groups) {
      Region region = describe(group);
      found.emplace_back(std::move(region), std::move(group.cells));
    }
    return numbered(found);
  }

 private:
  [[nodiscard]] bool doubtful(std::size_t c) const { return states_[c].excess_mm > -expanded_mm_; }
  [[nodiscard]] double area(int c) const { return cells_.area_mm2[c]; }

  void count_points_outside() {
    for (Index i = 0; i < readings_.cell_of_point.size(); ++i) {
      const int c = readings_.cell_of_point[i];
      if (c < 0) continue;
      const CellState& cell = states_[static_cast<std::size_t>(c)];
      const double value = deviations_.signed_mm[i];
      if ((value >= 0.0) == cell.proud && std::abs(value) > cell.limit_mm) {
        ++points_outside_[static_cast<std::size_t>(c)];
      }
    }
  }

  Group grow(int seed, std::vector<std::uint8_t>& taken) const {
    Group group;
    const bool proud = states_[static_cast<std::size_t>(seed)].proud;
    group.cells.push_back(seed);
    taken[static_cast<std::size_t>(seed)] = 1;
    for (std::size_t next = 0; next < group.cells.size(); ++next) {
      const int at = group.cells[next];
      add_cell(group, at);
      for (int k = 0; k < 3; ++k) {
        const int other = cells_.neighbours(k, at);
        if (other < 0) continue;
        const auto o = static_cast<std::size_t>(other);
        if (taken[o] != 0 || !doubtful(o) || states_[o].proud != proud) continue;
        taken[o] = 1;
        group.cells.push_back(other);
      }
    }
    add_proven(group);
    return group;
  }

  /// What the noise of so many readings is not likely to make anywhere.
  void add_proven(Group& group) const {
    const double place_mm2 = std::max(plan_.least_area_mm2, kEnoughPoints * point_mm2_);
    const double chances = std::max(1.0, group.doubtful_area / place_mm2);
    const double errors = std::sqrt(2.0 * std::log(chances / (2.0 * kChance)));
    for (const int c : group.cells) {
      const int support = readings_.support[c];
      if (support < kEnoughPoints) continue;
      const double noise_mm = errors * median_error_mm_ / std::sqrt(static_cast<double>(support));
      if (states_[static_cast<std::size_t>(c)].excess_mm > std::max(expanded_mm_, noise_mm))
        group.proven_area += area(c);
    }
  }

  void add_cell(Group& group, int c) const {
    const auto i = static_cast<std::size_t>(c);
    const double excess = states_[i].excess_mm;
    group.doubtful_area += area(c);
    if (excess > 0.0) group.outside_area += area(c);
    group.points += points_outside_[i];
  }

  /// Patches of one face that are only too near to the limit to tell are one finding: a face within
  /// U of its limit falls into dozens of them.
  void join_doubtful(std::vector<Group>& groups) const {
    const auto doubtful_only = [](const Group& group) {
      return group.outcome == Outcome::Undecided && group.outside_area <= 0.0;
    };
    if (std::count_if(groups.begin(), groups.end(), doubtful_only) < 2) return;
    const std::vector<int> face_of = smooth_face_of_cells(cells_, kSameFace);
    std::map<std::tuple<int, bool, const Zone*>, std::size_t> first_on;
    std::vector<Group> kept;
    for (Group& group : groups) {
      const auto cell = static_cast<std::size_t>(group.cells.front());
      const auto key = std::make_tuple(face_of[cell], states_[cell].proud, states_[cell].zone);
      if (doubtful_only(group)) {
        const auto [first, is_new] = first_on.emplace(key, kept.size());
        if (!is_new) {
          take_over(kept[first->second], group);
          continue;
        }
      }
      kept.push_back(std::move(group));
    }
    groups = std::move(kept);
  }

  void add_up_small(std::vector<Group>& groups) const {
    for (const bool proud : {true, false}) {
      std::vector<std::size_t> small;
      std::vector<std::vector<int>> patches;
      for (std::size_t g = 0; g < groups.size(); ++g) {
        if (groups[g].outcome != Outcome::Listed || is_proud(groups[g]) != proud) continue;
        small.push_back(g);
        patches.push_back(cells_that_count(groups[g]));
      }
      const double near_mm = kNearSides * std::sqrt(plan_.least_area_mm2);
      for (const auto& place : patches_close_together(cells_, patches, near_mm)) {
        double lies = 0.0, scanned = 0.0;
        for (const std::size_t i : place) {
          lies += groups[small[i]].outside_area;
          scanned += point_mm2_ * groups[small[i]].points;
        }
        if (std::max(lies, scanned) < plan_.least_area_mm2) continue;
        Group& whole = groups[small[place.front()]];
        whole.outcome = Outcome::Undecided;
        whole.adds_up = true;
        for (std::size_t i = 1; i < place.size(); ++i)
          take_over(whole, groups[small[place[i]]]);
      }
    }
    const auto is_empty = [](const Group& group) { return group.cells.empty(); };
    groups.erase(std::remove_if(groups.begin(), groups.end(), is_empty), groups.end());
  }

  [[nodiscard]] bool is_proud(const Group& group) const {
    return states_[static_cast<std::size_t>(group.cells.front())].proud;
  }

  static void take_over(Group& whole, Group& part) {
    whole.cells.insert(whole.cells.end(), part.cells.begin(), part.cells.end());
    whole.points += part.points;
    whole.outside_area += part.outside_area;
    part.cells.clear();
  }

  /// Cells that are outside when there are any, else all: what the region's figures speak of.
  [[nodiscard]] std::vector<int> cells_that_count(const Group& group) const {
    std::vector<int> out;
    std::copy_if(group.cells.begin(), group.cells.end(), std::back_inserter(out),
                 [&](int c) { return states_[static_cast<std::size_t>(c)].excess_mm > 0.0; });
    return out.empty() ? group.cells : out;
  }

  [[nodiscard]] Region describe(const Group& group) const {
    const std::vector<int> counted = cells_that_count(group);
    Region region;
    Vector3d low = Vector3d::Constant(HUGE_VAL), high = -low, centroid = Vector3d::Zero();
    for (const int c : counted) {
      centroid += area(c) * cells_.center_mm.col(c);
      low = low.cwiseMin(cells_.center_mm.col(c));
      high = high.cwiseMax(cells_.center_mm.col(c));
    }
    const RegionFigures figures = region_figures(cells_, readings_, counted, plan_.least_area_mm2);
    region.area_mm2 = figures.area_mm2;
    region.missing_mm2 = figures.missing_mm2;
    region.absence = figures.absence;
    region.mean_mm = figures.mean_mm;
    centroid /= std::max(region.area_mm2, std::numeric_limits<double>::min());
    const CellState& state = states_[static_cast<std::size_t>(figures.peak)];
    region.kind = state.proud ? RegionKind::Proud : RegionKind::Shy;
    region.peak_mm = readings_.deviation_mm[figures.peak];
    region.limit_mm = state.limit_mm;
    region.conformity = conformance_probability(std::abs(region.peak_mm), -HUGE_VAL, state.limit_mm,
                                                0.5 * expanded_mm_);
    region.zone = state.zone == nullptr ? std::string{} : state.zone->name;
    region.size_mm = high - low;
    region.points = group.points;
    region.outcome = group.outcome;
    region.runs_into_unseen = group.runs_into_unseen;
    region.adds_up = group.adds_up;
    const int middle = nearest_cell(counted, centroid);
    region.center_mm = cells_.center_mm.col(middle);
    region.normal = cells_.normal.col(middle);
    return region;
  }

  [[nodiscard]] int nearest_cell(const std::vector<int>& among, const Vector3d& p) const {
    return *std::min_element(among.begin(), among.end(), [&](int a, int b) {
      return (cells_.center_mm.col(a) - p).squaredNorm() <
             (cells_.center_mm.col(b) - p).squaredNorm();
    });
  }

  /// Unseen surface of the same face that the group borders on, followed until the region may be
  /// as large as the least area.
  [[nodiscard]] double unseen_beside(const Group& group) const {
    const double wanted = plan_.least_area_mm2 - group.outside_area;
    std::unordered_set<int> reached;
    std::vector<int> open = group.cells;
    double found = 0.0;
    for (std::size_t next = 0; next < open.size() && found < wanted; ++next) {
      for (int k = 0; k < 3; ++k) {
        const int other = cells_.neighbours(k, open[next]);
        if (other < 0 || readings_.seen[static_cast<std::size_t>(other)] != 0) continue;
        if (cells_.normal.col(other).dot(cells_.normal.col(open[next])) < kSameFace) continue;
        if (!reached.insert(other).second) continue;
        found += area(other);
        open.push_back(other);
      }
    }
    return found;
  }

  /// False when the group is too little to be a region.
  bool judge(Group& group) const {
    const double least = plan_.least_area_mm2;
    const double outside_at_most =
        group.outside_area + 2.0 * spacing_mm_ * std::sqrt(group.outside_area);
    const bool supported = group.points >= kEnoughPoints;
    const bool proven = group.proven_area > 0.0;
    if (proven && group.proven_area >= kProvenShare * least && group.points >= enough_to_fail_ &&
        group.outside_area >= least) {
      group.outcome = Outcome::Fail;
    } else if (group.doubtful_area >= least || (proven && outside_at_most >= least)) {
      group.outcome = Outcome::Undecided;
    } else if (group.outside_area > 0.0 && supported) {
      group.runs_into_unseen = proven && group.outside_area + unseen_beside(group) >= least;
      group.outcome = group.runs_into_unseen ? Outcome::Undecided : Outcome::Listed;
    } else {
      return false;
    }
    return true;
  }

  [[nodiscard]] FoundRegions numbered(
      std::vector<std::pair<Region, std::vector<int>>>& found) const {
    std::vector<std::size_t> order(found.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto badness = [&](std::size_t i) {
      const Region& r = found[i].first;
      const int rank = r.outcome == Outcome::Fail ? 0 : r.outcome == Outcome::Undecided ? 1 : 2;
      return std::make_tuple(rank, r.limit_mm - std::abs(r.peak_mm), -r.area_mm2);
    };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return badness(a) < badness(b); });
    if (order.size() > kMostRegions) order.resize(kMostRegions);
    FoundRegions out;
    out.region_of_cell.setZero(cells_.size());
    for (const std::size_t i : order) {
      Region region = found[i].first;
      region.id = static_cast<int>(out.regions.size()) + 1;
      for (const int c : found[i].second)
        out.region_of_cell[c] = region.id;
      out.regions.push_back(std::move(region));
    }
    return out;
  }

  const Plan& plan_;
  const SurfaceCells& cells_;
  const CellReadings& readings_;
  const Deviations& deviations_;
  double expanded_mm_, median_error_mm_, spacing_mm_;
  double point_mm2_;  ///< of the surface that a scan point stands for
  std::vector<CellState> states_;
  std::vector<int> points_outside_;
  double enough_to_fail_ = kEnoughPoints;
};

}  // namespace

FoundRegions find_regions(const Plan& plan, const SurfaceCells& cells, const CellReadings& readings,
                          const Deviations& deviations, double expanded_mm, double noise_mm,
                          double spacing_mm) {
  return RegionFinder(plan, cells, readings, deviations, expanded_mm, noise_mm, spacing_mm).find();
}

}  // namespace trammel
