#include "trammel/judge/cut_outs.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "region_parts.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

constexpr double kAway = -0.99;       // cosine: the two sides of a sheet
constexpr double kAcross = 0.3;       // cosine: an edge of it
constexpr double kLooksAcross = 0.5;  // cosine: normals guessed at rims lean
constexpr double kOneFace = 0.99;     // cosine
constexpr double kAsLarge = 0.5;      // of what is gone of one side, on the other
constexpr double kMostAcross = 0.7;   // of the points
constexpr double kMostOfWay = 0.6;    // through: what lies nearer to a side than the limit is of it
constexpr double kMostOfEdge = 0.5;
constexpr std::size_t kFewestOfCut = 6;
/// Of the points that look across the sheet those that look another way than the edge: a cut has
/// walls beside its floor, a face that leans, is bowed in or lies too low has none.
constexpr double kAnotherWay = 0.9;  // cosine
constexpr double kLeastAnotherWay = 0.1;
/// Of the design's area, and directions: more is no notch, but a side that was not scanned.
constexpr double kMostOfPart = 0.25;
constexpr std::size_t kMostSides = 60;
/// On the rim readings are pooled with those beside it.
constexpr double kRim = 2.0;

/// What of the design is gone, of one direction.
struct Side {
  Vector3d normal;
  double area_mm2 = 0.0, level_mm = 0.0;
};

/// What hangs together of surface that was not scanned in place, and what was scanned within.
struct Gone {
  std::vector<int> cells;
  std::vector<std::size_t> regions;  ///< that fail
  std::vector<Index> points;         ///< beyond the limit
  std::vector<Side> sides;
  Box box;                 ///< about both
  Box size = empty_box();  ///< what is not there: from the points to the faces of the design
};

class CutTeller {
 public:
  CutTeller(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
            std::vector<Region>& regions, CellReadings& of_form)
      : e_(evidence),
        region_of_cell_(region_of_cell),
        regions_(regions),
        parts_(evidence, region_of_cell, regions.size()),
        of_form_(of_form),
        reached_(static_cast<std::size_t>(evidence.cells.size()), 0) {}

  void tell() {
    for (const Region& region : regions_) {
      const std::vector<int>& cells = parts_.cells_of(region.id);
      if (!may_be_cut(region) || cells.empty() || has_reached(cells.front())) continue;
      const Gone gone = gone_about(region);
      if (is_cut(gone)) tell_as_one(gone);
    }
  }

 private:
  [[nodiscard]] bool has_reached(int cell) const {
    return reached_[static_cast<std::size_t>(cell)] != 0;
  }

  [[nodiscard]] static bool is_of_nothing_else(const Region& region) {
    return region.kind == RegionKind::Shy && !region.lacks && region.told_with == 0;
  }
  [[nodiscard]] static bool may_be_cut(const Region& region) {
    return region.outcome == Outcome::Fail && is_of_nothing_else(region);
  }

  [[nodiscard]] bool is_gone(Index c) const {
    const int id = region_of_cell_[c];
    if (id > 0) return is_of_nothing_else(regions_[static_cast<std::size_t>(id) - 1]);
    return e_.readings.seen[static_cast<std::size_t>(c)] == 0 || e_.readings.is_missing(c);
  }

  /// What hangs together with the region.
  [[nodiscard]] Gone gone_about(const Region& region) {
    Gone out;
    out.cells = parts_.cells_of(region.id);
    for (const int c : out.cells)
      reached_[static_cast<std::size_t>(c)] = 1;
    for (std::size_t next = 0; next < out.cells.size(); ++next)
      for (const int other : e_.cells.neighbours.col(out.cells[next])) {
        if (other < 0 || has_reached(other) || !is_gone(other)) continue;
        reached_[static_cast<std::size_t>(other)] = 1;
        out.cells.push_back(other);
      }
    if (e_.cells.area_mm2(out.cells).sum() > kMostOfPart * e_.cells.area_mm2.sum()) return out;
    out.box = parts_.box_of_cells(out.cells);
    for (std::size_t k = 0; k < regions_.size(); ++k) {
      const std::vector<int>& cells = parts_.cells_of(regions_[k].id);
      if (may_be_cut(regions_[k]) && !cells.empty() && has_reached(cells.front()) &&
          holds(out.box, parts_.box_of_cells(cells), 0.0))
        out.regions.push_back(k);
    }
    add_sides(out);
    if (out.sides.size() <= kMostSides) add_points(region.limit_mm, out);
    return out;
  }

  /// Those of its walls may be read at the rim, on cells that are in place.
  void add_points(double limit_mm, Gone& gone) const {
    for (Index i = 0; i < e_.points_mm.cols(); ++i)
      if (-e_.deviations.signed_mm[i] > limit_mm &&
          holds(gone.box, e_.points_mm.col(i), kRim * e_.cells.longest_edge_mm))
        gone.points.push_back(i);
    parts_.include_points(gone.box, gone.points);
    parts_.include_points(gone.size, gone.points);
  }

  void add_sides(Gone& gone) const {
    for (const int c : gone.cells) {
      const Vector3d normal = e_.cells.normal.col(c);
      auto side = std::find_if(gone.sides.begin(), gone.sides.end(), [&](const Side& known) {
        return known.normal.dot(normal) > kOneFace;
      });
      if (side == gone.sides.end()) {
        if (gone.sides.size() > kMostSides) return;
        side = gone.sides.insert(gone.sides.end(), Side{normal});
      }
      side->area_mm2 += e_.cells.area_mm2[c];
      side->level_mm += e_.cells.area_mm2[c] * side->normal.dot(e_.cells.center_mm.col(c));
    }
    for (Side& side : gone.sides) {
      side.level_mm /= side.area_mm2;
      Eigen::Index k = 0;
      if (!(side.normal.cwiseAbs().maxCoeff(&k) > kOneFace)) continue;
      const double at_mm = side.normal[k] > 0.0 ? side.level_mm : -side.level_mm;
      gone.size.low_mm[k] = std::min(gone.size.low_mm[k], at_mm);
      gone.size.high_mm[k] = std::max(gone.size.high_mm[k], at_mm);
    }
  }

  [[nodiscard]] bool is_cut(const Gone& gone) const {
    for (const Side& front : gone.sides)
      for (const Side& back : gone.sides)
        if (front.normal.dot(back.normal) < kAway && back.area_mm2 <= front.area_mm2 &&
            back.area_mm2 >= kAsLarge * front.area_mm2 && has_walls(front, back, gone) &&
            has_edge(front.normal, gone))
          return true;
    return false;
  }

  [[nodiscard]] bool looks_across(const Vector3d& through, Index point) const {
    return std::abs(through.dot(e_.normals.col(point))) < kLooksAcross;
  }

  /// Scanned from one side to the other.
  [[nodiscard]] bool has_walls(const Side& front, const Side& back, const Gone& gone) const {
    std::size_t across = 0;
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (const Index i : gone.points) {
      if (!looks_across(front.normal, i)) continue;
      ++across;
      low = std::min(low, front.normal.dot(e_.points_mm.col(i)));
      high = std::max(high, front.normal.dot(e_.points_mm.col(i)));
    }
    const double thick_mm = front.level_mm + back.level_mm;
    return across >= kFewestOfCut &&
           static_cast<double>(across) >= kMostAcross * static_cast<double>(gone.points.size()) &&
           high - low >= kMostOfWay * thick_mm;
  }

  /// One at least, of which most is left, and with walls beside what is gone of it.
  [[nodiscard]] bool has_edge(const Vector3d& through, const Gone& gone) const {
    bool found = false;
    for (const Side& edge : gone.sides) {
      if (std::abs(through.dot(edge.normal)) >= kAcross) continue;
      if (edge.area_mm2 > kMostOfEdge * whole_mm2(edge) || !has_step(through, edge, gone))
        return false;
      found = true;
    }
    return found;
  }

  [[nodiscard]] double whole_mm2(const Side& side) const {
    double out = 0.0;
    for (Index c = 0; c < e_.cells.size(); ++c)
      if (side.normal.dot(e_.cells.normal.col(c)) > kOneFace &&
          std::abs(side.normal.dot(e_.cells.center_mm.col(c)) - side.level_mm) < e_.expanded_mm)
        out += e_.cells.area_mm2[c];
    return out;
  }

  [[nodiscard]] bool has_step(const Vector3d& through, const Side& edge, const Gone& gone) const {
    std::size_t across = 0, another_way = 0;
    for (const Index i : gone.points) {
      if (!looks_across(through, i)) continue;
      ++across;
      if (edge.normal.dot(e_.normals.col(i)) < kAnotherWay) ++another_way;
    }
    return static_cast<double>(another_way) >= kLeastAnotherWay * static_cast<double>(across);
  }

  /// What does not fail may be what walls of the cut are read as, beyond its rim.
  [[nodiscard]] bool is_beside(const Region& region, const Box& about, const Box& cut) const {
    const double cell_mm = e_.cells.longest_edge_mm;
    if (region.outcome == Outcome::Fail) return holds(cut, about, cell_mm);
    return holds(cut, region.center_mm, kRim * cell_mm) && holds(cut, about, 2.0 * kRim * cell_mm);
  }

  void tell_as_one(const Gone& gone) {
    const std::size_t largest = *std::max_element(
        gone.regions.begin(), gone.regions.end(),
        [&](std::size_t a, std::size_t b) { return regions_[a].area_mm2 < regions_[b].area_mm2; });
    Region& told = regions_[largest];
    told.absence = Absence::Material;
    told.hole_mm.reset();
    told.lacks = gone.size;
    for (Region& other : regions_) {
      const std::vector<int>& cells = parts_.cells_of(other.id);
      if (other.id == told.id || cells.empty() || !is_of_nothing_else(other)) continue;
      if (is_beside(other, parts_.box_of_cells(cells), gone.box)) other.told_with = told.id;
    }
    of_form_.missing.resize(static_cast<std::size_t>(e_.cells.size()), 0);
    for (Index c = 0; c < e_.cells.size(); ++c) {
      const int id = region_of_cell_[c];
      if (id == told.id ||
          (id > 0 && regions_[static_cast<std::size_t>(id) - 1].told_with == told.id))
        of_form_.missing[static_cast<std::size_t>(c)] = 1;
    }
    for (const int c : gone.cells)
      of_form_.missing[static_cast<std::size_t>(c)] = 1;
  }

  const MissingEvidence& e_;
  const Eigen::VectorXi& region_of_cell_;
  std::vector<Region>& regions_;
  RegionParts parts_;
  CellReadings& of_form_;
  std::vector<std::uint8_t> reached_;  ///< #C
};

}  // namespace

void tell_cut_outs(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
                   std::vector<Region>& regions, CellReadings& of_form) {
  if (has_points(evidence) && !regions.empty())
    CutTeller(evidence, region_of_cell, regions, of_form).tell();
}

}  // namespace trammel
