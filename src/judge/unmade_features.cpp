#include "trammel/judge/unmade_features.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "region_parts.hpp"
#include "trammel/judge/surface_there.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Of a region's points: normals guessed at its rim look elsewhere.
constexpr double kMostOnFace = 0.75;
constexpr double kSameWay = 0.9;     // cosine: a face that goes on
constexpr double kOfReading = 0.25;  // nearer to the face beside it than to where it should be
constexpr std::size_t kFewestPoints = 6;
constexpr double kLeastOfPlane = 0.05;  // of the points, that a face is stood on from
constexpr double kBeyondUnseen = 0.25;  // of the box's diagonal
constexpr double kRimCells = 2.0;
constexpr std::size_t kMostPlanes = 200;
/// Planes are one where they differ by less: cells of one face.
constexpr double kSameNormal = 0.99999, kSameLevel_mm = 0.01;
struct Plane {
  Vector3d normal;
  double level_mm;
  [[nodiscard]] double height_mm(const Vector3d& p) const { return normal.dot(p) - level_mm; }
};

class UnmadeTeller {
 public:
  UnmadeTeller(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
               std::vector<Region>& regions)
      : e_(evidence),
        region_of_cell_(region_of_cell),
        regions_(regions),
        parts_(evidence, region_of_cell, regions.size()),
        belongs_(regions.size() + 1) {}

  void tell() {
    for (Region& region : regions_) {
      if (!is_shy_fail(region) || region.absence == Absence::Hole) continue;
      const std::vector<Plane> stood_on = planes_stood_on(region);
      if (!stood_on.empty()) region.absence = Absence::Feature;
      if (region.absence != Absence::Feature) continue;
      region.lacks = parts_.box_of(region);
      belongs_[static_cast<std::size_t>(region.id)] = what_belongs_to(region, stood_on);
    }
    tell_once();
  }

  [[nodiscard]] CellReadings readings_of_form() const {
    CellReadings out = of_cells(e_.readings);
    for (const std::vector<int>& cells : belongs_) {
      if (cells.empty()) continue;
      out.missing.resize(static_cast<std::size_t>(e_.cells.size()), 0);
      for (const int c : cells)
        out.missing[static_cast<std::size_t>(c)] = 1;
    }
    return out;
  }

 private:
  [[nodiscard]] const std::vector<int>& cells_of(int id) const { return parts_.cells_of(id); }

  static bool is_shy_fail(const Region& region) {
    return region.outcome == Outcome::Fail && region.kind == RegionKind::Shy;
  }
  static bool is_feature(const Region& region) { return region.lacks.has_value(); }

  /// Planes of surface that was made beside the region, found across what is shy or was not seen,
  /// and across the faces of what is shy: those that slope begin at their foot.
  [[nodiscard]] std::vector<Plane> planes_beside(const Region& region) const {
    Box about = parts_.box_of(region);
    std::vector<std::uint8_t> reached(static_cast<std::size_t>(e_.cells.size()), 0);
    std::vector<int> open = cells_of(region.id);
    for (const int c : open)
      reached[static_cast<std::size_t>(c)] = 1;
    std::vector<Plane> shy, out;
    for (std::size_t next = 0; next < open.size(); ++next) {
      if (is_shy(open[next])) {
        add_plane(open[next], shy);
        include(about, parts_.box_of_cells({open[next]}));
      }
      for (const int other : e_.cells.neighbours.col(open[next])) {
        if (other < 0 || reached[static_cast<std::size_t>(other)] != 0) continue;
        reached[static_cast<std::size_t>(other)] = 1;
        const bool is_near = holds(about, e_.cells.center_mm.col(other), e_.cells.longest_edge_mm);
        const int reasons =
            (is_near ? 1 : 0) + (was_made(other) ? 0 : 1) + (is_on_one(other, shy) ? 1 : 0);
        if (was_made(other)) add_plane(other, out);
        if (is_shy(other) || reasons >= 2) open.push_back(other);
      }
    }
    return out;
  }

  [[nodiscard]] bool was_made(int cell) const {
    return region_of_cell_[cell] == 0 && e_.readings.seen[static_cast<std::size_t>(cell)] != 0 &&
           std::isfinite(e_.readings.deviation_mm[cell]) && !e_.readings.is_missing(cell);
  }

  [[nodiscard]] bool is_shy(int cell) const {
    const int id = region_of_cell_[cell];
    return id > 0 && is_shy_fail(regions_[static_cast<std::size_t>(id) - 1]);
  }

  [[nodiscard]] bool is_on_one(int cell, const std::vector<Plane>& planes) const {
    return std::any_of(planes.begin(), planes.end(), [&](const Plane& known) {
      return known.normal.dot(e_.cells.normal.col(cell)) > kSameNormal &&
             std::abs(known.height_mm(e_.cells.center_mm.col(cell))) < kSameLevel_mm;
    });
  }

  /// Of a curved surface the first will do: there is no plane of it that much lies in.
  void add_plane(int cell, std::vector<Plane>& planes) const {
    if (planes.size() >= kMostPlanes || is_on_one(cell, planes)) return;
    const Vector3d normal = e_.cells.normal.col(cell);
    planes.push_back({normal, normal.dot(e_.cells.center_mm.col(cell))});
  }

  /// Of the planes beside the region those that its points lie in; none where too few do.
  [[nodiscard]] std::vector<Plane> planes_stood_on(const Region& region) const {
    const std::vector<Plane> planes = planes_beside(region);
    std::vector<std::size_t> on_plane(planes.size(), 0);
    std::size_t asked = 0, on_any = 0;
    for (const Index i : parts_.points_of(region.id)) {
      const double off_mm = -e_.deviations.signed_mm[i];
      if (!(off_mm > region.limit_mm)) continue;
      ++asked;
      const double near_mm =
          std::max(e_.expanded_mm, std::min(region.limit_mm, kOfReading * off_mm));
      const auto found = std::find_if(planes.begin(), planes.end(), [&](const Plane& plane) {
        return plane.normal.dot(e_.normals.col(i)) >= kSameWay &&
               std::abs(plane.height_mm(e_.points_mm.col(i))) <= near_mm;
      });
      if (found == planes.end()) continue;
      ++on_any;
      ++on_plane[static_cast<std::size_t>(found - planes.begin())];
    }
    const auto share = static_cast<double>(asked);
    if (asked < kFewestPoints || static_cast<double>(on_any) < kMostOnFace * share) return {};
    std::vector<Plane> out;
    for (std::size_t k = 0; k < planes.size(); ++k)
      if (static_cast<double>(on_plane[k]) >= kLeastOfPlane * share) out.push_back(planes[k]);
    return out;
  }

  /// The region and what hangs together with it in its box, but for the faces that it stands on;
  /// what was not seen a little beyond it too.
  [[nodiscard]] std::vector<int> what_belongs_to(const Region& region,
                                                 const std::vector<Plane>& stood_on) const {
    std::vector<int> out = cells_of(region.id);
    if (stood_on.empty()) return out;
    const double beyond_mm = kBeyondUnseen * region.lacks->diagonal_mm();
    std::vector<std::uint8_t> reached(static_cast<std::size_t>(e_.cells.size()), 0);
    for (const int c : out)
      reached[static_cast<std::size_t>(c)] = 1;
    for (std::size_t next = 0; next < out.size(); ++next) {
      for (const int other : e_.cells.neighbours.col(out[next])) {
        if (other < 0 || reached[static_cast<std::size_t>(other)] != 0) continue;
        reached[static_cast<std::size_t>(other)] = 1;
        if (!is_on_one(other, stood_on) && holds(*region.lacks, e_.cells.center_mm.col(other),
                                                 was_made(other) ? kSameLevel_mm : beyond_mm))
          out.push_back(other);
      }
    }
    return out;
  }

  /// Larger features first; a region goes to the first that holds it.
  void tell_once() {
    std::vector<std::size_t> order(regions_.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return regions_[a].area_mm2 > regions_[b].area_mm2;
    });
    for (const std::size_t i : order) {
      Region& larger = regions_[i];
      if (!is_feature(larger) || larger.told_with != 0) continue;
      for (const std::size_t k : order) {
        Region& other = regions_[k];
        if (k == i || other.told_with != 0 || !may_be_of(other, larger)) continue;
        other.told_with = larger.id;
        if (!other.lacks) {
          if (other.outcome == Outcome::Fail)
            include(*larger.lacks, parts_.box_of_cells(cells_of(other.id)));
          std::vector<int>& cells = belongs_[static_cast<std::size_t>(larger.id)];
          cells.insert(cells.end(), cells_of(other.id).begin(), cells_of(other.id).end());
          continue;
        }
        include(*larger.lacks, *other.lacks);
        other.lacks.reset();
      }
    }
  }

  [[nodiscard]] bool may_be_of(const Region& other, const Region& larger) const {
    if (other.kind != RegionKind::Shy || other.area_mm2 > larger.area_mm2 ||
        other.absence == Absence::Hole)
      return false;
    if (hangs_together(other, larger)) return true;
    // What is small lies on the rim, where readings are pooled with those of what it stands on.
    const double margin_mm =
        (other.outcome == Outcome::Fail ? 1.0 : kRimCells) * e_.cells.longest_edge_mm;
    if (other.lacks) return holds(*larger.lacks, other.center_mm, margin_mm);
    return holds(*larger.lacks, parts_.box_of_cells(cells_of(other.id)), margin_mm);
  }

  /// A feature that goes on where the larger one ends, or a region most of which belongs to it.
  [[nodiscard]] bool hangs_together(const Region& other, const Region& larger) const {
    std::vector<std::uint8_t> of_larger(static_cast<std::size_t>(e_.cells.size()), 0);
    for (const int c : belongs_[static_cast<std::size_t>(larger.id)])
      of_larger[static_cast<std::size_t>(c)] = 1;
    const auto is_of_larger = [&](int c) {
      return c >= 0 && of_larger[static_cast<std::size_t>(c)] != 0;
    };
    if (!other.lacks) {
      const std::vector<int>& cells = cells_of(other.id);
      return 2 * std::count_if(cells.begin(), cells.end(), is_of_larger) >
             static_cast<std::ptrdiff_t>(cells.size());
    }
    const std::vector<int>& cells = belongs_[static_cast<std::size_t>(other.id)];
    return std::any_of(cells.begin(), cells.end(), [&](int c) {
      const auto beside = e_.cells.neighbours.col(c);
      return is_of_larger(c) || std::any_of(beside.begin(), beside.end(), is_of_larger);
    });
  }

  const MissingEvidence& e_;
  const Eigen::VectorXi& region_of_cell_;
  std::vector<Region>& regions_;
  RegionParts parts_;
  std::vector<std::vector<int>> belongs_;  ///< cells of each feature, by its id
};

}  // namespace

CellReadings tell_unmade(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
                         std::vector<Region>& regions) {
  if (!has_points(evidence) || regions.empty()) return of_cells(evidence.readings);
  UnmadeTeller teller(evidence, region_of_cell, regions);
  teller.tell();
  return teller.readings_of_form();
}

bool is_of_what_lacks(const std::vector<Region>& regions, const Vector3d& place_mm) {
  constexpr double kBeside_mm = 1.0;
  return std::any_of(regions.begin(), regions.end(), [&](const Region& region) {
    return region.outcome == Outcome::Fail && region.lacks &&
           holds(*region.lacks, place_mm, kBeside_mm);
  });
}

}  // namespace trammel
