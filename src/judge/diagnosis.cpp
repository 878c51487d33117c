#include "trammel/judge/diagnosis.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/judge/carried_faces.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/judge/describe_flaw.hpp"
#include "trammel/judge/explain.hpp"
#include "trammel/judge/independent_readings.hpp"
#include "trammel/judge/local_flaws.hpp"
#include "trammel/judge/moved_sheets.hpp"
#include "trammel/judge/pressed_places.hpp"
#include "trammel/judge/surface_there.hpp"
#include "trammel/judge/warped_corners.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double kShareOfLimit = 0.2;
/// A part is divided into no more blocks than this along its diagonal.
constexpr double kMostBlocksAlong = 60.0;
/// Of the misfit: patches that explain less are what edges leave of a larger flaw.
constexpr double kLeastShare = 0.01;
/// Of what another explanation by as many flaws leaves.
constexpr double kMuchLess = 0.5;
/// What a smooth flaw leaves of itself is no dent: no real bow is a parabola.
constexpr double kLeftOfSmooth = 0.1;

double matters_at(const DiagnosisEvidence& e, const Vector3d& place_mm) {
  const Band band = band_at(e.plan, place_mm).band;
  return std::max(e.expanded_mm, kShareOfLimit * std::min(band.over_mm, band.under_mm));
}

VectorXd matters_at_all(const DiagnosisEvidence& e, const Eigen::Matrix3Xd& places_mm) {
  VectorXd out(places_mm.cols());
  for (Index i = 0; i < out.size(); ++i)
    out[i] = std::max(matters_at(e, places_mm.col(i)), std::numeric_limits<double>::min());
  return out;
}

double block_side_mm(const DiagnosisEvidence& e, double diagonal_mm) {
  return std::max(2.0 * pooled_mm(e.plan.least_area_mm2, e.spacing_mm),
                  diagonal_mm / kMostBlocksAlong);
}

/// Σ area · value² over the cells that were seen.
double misfit(const SurfaceCells& cells, const VectorXd& values_mm) {
  double sum = 0.0;
  for (Index c = 0; c < cells.size(); ++c)
    if (std::isfinite(values_mm[c])) sum += cells.area_mm2[c] * values_mm[c] * values_mm[c];
  return sum;
}

Eigen::VectorXi faces_of_cells(const SurfaceCells& cells, const FlatFaces& flat) {
  Eigen::VectorXi out(cells.size());
  for (Index c = 0; c < cells.size(); ++c)
    out[c] = flat.face_of[cells.triangle[c]];
  return out;
}

/// Of surface that is there: what is missing was not moved.
CellReadings readings_of_form(const DiagnosisEvidence& e, const Eigen::VectorXi& face_of_cell) {
  return of_surface_there(e.cells, of_faces_made(e.cells, e.readings, face_of_cell),
                          pooled_mm(e.plan.least_area_mm2, e.spacing_mm));
}

class Diagnoser {
 public:
  explicit Diagnoser(const DiagnosisEvidence& evidence)
      : e_(evidence),
        part_(bounding_box(evidence.cells.vertices_mm)),
        flat_(evidence.flat),
        face_of_cell_(faces_of_cells(evidence.cells, flat_)),
        readings_(readings_of_form(evidence, face_of_cell_)),
        rest_(readings_.deviation_mm),
        placed_(rest_),
        all_(misfit(evidence.cells, rest_)) {
    part_moved_sheets(e_.cells, readings_.deviation_mm, matters_at_all(e_, e_.cells.center_mm),
                      kThickestWall_mm, flat_.faces, face_of_cell_);
    walls_ = find_walls(flat_.faces, kThickestWall_mm);
  }

  Diagnosis find() {
    Diagnosis out;
    out.explained_mm.setZero(e_.cells.size());
    out.motion_mm.setZero(e_.cells.size());
    if (!(all_ > 0.0)) return out;
    add_smooth_flaws(out);
    add_local_flaws(out);
    std::stable_sort(out.flaws.begin(), out.flaws.end(),
                     [](const Flaw& a, const Flaw& b) { return a.share > b.share; });
    return out;
  }

 private:
  [[nodiscard]] SurfacePlace place_of(Index c) const {
    return {e_.cells.center_mm.col(c), e_.cells.normal.col(c), face_of_cell_[c]};
  }

  [[nodiscard]] Explanation explanation(const IndependentReadings& blocks,
                                        bool moves_of_holding) const {
    const VectorXd matters = matters_at_all(e_, blocks.place_mm);
    ExplainSettings settings;
    settings.moves_of_holding = moves_of_holding;
    if (matters.size() > 0) settings.reach_mm = 0.5 * matters.minCoeff();
    return explain(blocks, flat_.faces, walls_, matters, part_.center_mm(), settings);
  }

  /// A flaw of a face or wall whose figure is worth telling: of a bow that turned out to be none,
  /// what is left may not be.
  [[nodiscard]] bool is_worth_telling(const Flaw& flaw) const {
    const bool of_whole = flaw.kind == FlawKind::Shrink || flaw.kind == FlawKind::Skin;
    return of_whole || std::abs(flaw.figure_mm) >= matters_at(e_, flaw.center_mm);
  }

  /// With the pose as the scan lies, and with a wall off its place that the pose may have followed:
  /// the simpler of the two.
  void add_smooth_flaws(Diagnosis& out) {
    const auto blocks = independent_readings(e_.cells, readings_, face_of_cell_,
                                             block_side_mm(e_, part_.diagonal_mm()));
    const Diagnosis nothing = out;
    const VectorXd read = rest_;
    add_smooth_flaws(explanation(blocks, false), out);
    if (out.flaws.empty()) return;
    const Diagnosis first = out;
    const VectorXd first_rest = rest_, first_placed = placed_;
    out = nothing;
    rest_ = placed_ = read;
    add_smooth_flaws(explanation(blocks, true), out);
    if (is_simpler(out, misfit(e_.cells, rest_), first, misfit(e_.cells, first_rest))) return;
    out = first;
    rest_ = first_rest;
    placed_ = first_placed;
  }

  [[nodiscard]] bool is_simpler(const Diagnosis& other, double left, const Diagnosis& first,
                                double left_by_first) const {
    if (other.flaws.empty() || other.flaws.size() > first.flaws.size()) return false;
    if (other.flaws.size() == first.flaws.size()) return left < kMuchLess * left_by_first;
    return left <= left_by_first + kLeastShare * all_;
  }

  /// The motion counts with the first flaw, which made it necessary.
  void add_smooth_flaws(const Explanation& found, Diagnosis& out) {
    if (found.flaws.empty()) return;
    for (Index c = 0; c < e_.cells.size(); ++c)
      out.motion_mm[c] = motion_at(part_.center_mm(), place_of(c)).dot(found.motion);
    out.explained_mm = out.motion_mm;
    rest_ -= out.explained_mm;
    placed_ = rest_;
    double before = all_;
    std::vector<ExplainedFlaw> told;
    for (const ExplainedFlaw& explained : found.flaws) {
      Flaw flaw = described_flaw(explained, flat_.faces, part_, matters_at(e_, part_.center_mm()));
      if (!is_worth_telling(flaw)) continue;
      VectorXd makes(e_.cells.size());
      for (Index c = 0; c < e_.cells.size(); ++c)
        makes[c] = deviation_of(explained, flat_.faces, part_.center_mm(), place_of(c));
      out.explained_mm += makes;
      rest_ -= makes;
      const double after = misfit(e_.cells, rest_);
      flaw.share = std::clamp((before - after) / all_, 0.0, 1.0);
      before = std::min(before, after);
      out.flaws.push_back(std::move(flaw));
      told.push_back(explained);
    }
    leave_out_what_is_carried(std::move(told), out);
  }

  /// What a bent wall carries comes back with it: done to it as well, it would be done twice.
  void leave_out_what_is_carried(std::vector<ExplainedFlaw> told, Diagnosis& out) {
    const VectorXd matters = matters_at_all(e_, e_.cells.center_mm);
    for (std::size_t wall = 0; wall < told.size(); ++wall) {
      if (told[wall].shape.back < 0 || told[wall].shape.kind == FlawKind::Offset) continue;
      const CarriedFaces carried =
          carried_by(told[wall], flat_.faces, face_of_cell_, e_.cells, placed_, matters);
      const auto goes = [&](int face) { return carried.face[static_cast<std::size_t>(face)] != 0; };
      VectorXd left = carried.moved_mm;
      bool any = false;
      for (std::size_t i = told.size(); i-- > 0;) {
        const FlawShape shape = told[i].shape;
        if (i == wall || shape.face < 0) continue;
        for (Index c = 0; c < left.size(); ++c)
          if (face_of_cell_[c] >= 0 &&
              (face_of_cell_[c] == shape.face || face_of_cell_[c] == shape.back))
            left[c] = 0.0;  // its own flaw says more exactly how it moved
        if (!goes(shape.face) || (shape.back >= 0 && !goes(shape.back))) continue;
        out.flaws[wall].share = std::min(1.0, out.flaws[wall].share + out.flaws[i].share);
        out.flaws.erase(out.flaws.begin() + static_cast<std::ptrdiff_t>(i));
        told.erase(told.begin() + static_cast<std::ptrdiff_t>(i));
        if (i < wall) --wall;
        any = true;
      }
      if (any) out.flaws[wall].words += "; what it carries goes with it";
      rest_ -= left;
      out.explained_mm += left;
    }
  }

  /// Deeper than its wall is thick: something is missing there, no face was dented. A wall whose
  /// both faces moved is all there.
  [[nodiscard]] bool goes_through(const LocalFlaw& local) const {
    if (local.flaw.of_wall) return false;
    const int face = face_of_cell_[local.cells.front()];
    return std::any_of(walls_.begin(), walls_.end(), [&](const Wall& wall) {
      return (wall.front == face || wall.back == face) &&
             local.flaw.figure_mm <= -wall.thickness_mm;
    });
  }

  /// As read, or with the motion that comes with the flaws. What a face or wall that moved left in
  /// its place stands out of that alone: of a wall made too thin, a strip as thick as drawn is no
  /// blob, and to take it off would be wrong; nor is a corner bent that a bulge does not reach.
  [[nodiscard]] bool is_where_drawn(const LocalFlaw& local, const VectorXd& beyond_mm) const {
    double read = 0.0, placed = 0.0, least = 0.0;
    for (const int c : local.cells) {
      const bool on_back = e_.cells.normal.col(c).dot(local.flaw.normal) < 0.0;
      const double sign = (local.flaw.figure_mm < 0.0) != on_back ? -1.0 : 1.0;
      read += e_.cells.area_mm2[c] * sign * readings_.deviation_mm[c];
      placed += e_.cells.area_mm2[c] * sign * placed_[c];
      least += e_.cells.area_mm2[c] * beyond_mm[c];
    }
    return std::min(read, placed) <= least;
  }

  void add_local_flaws(Diagnosis& out) {
    LocalFlawSettings settings;
    settings.least_area_mm2 = e_.plan.least_area_mm2;
    const VectorXd matters = matters_at_all(e_, e_.cells.center_mm);
    const VectorXd beyond = matters.cwiseMax(kLeftOfSmooth * out.explained_mm.cwiseAbs());
    const std::vector<LocalFlaw> patches =
        local_flaws(e_.cells, rest_, beyond, face_of_cell_, flat_.faces, settings);
    const auto bent = with_warped_corners(patches, flat_.faces, walls_, face_of_cell_);
    for (const LocalFlaw& local : with_pressed_places(bent, e_.cells, kThickestWall_mm)) {
      if (goes_through(local) || is_where_drawn(local, matters)) continue;
      double squares = 0.0;
      for (const int c : local.cells)
        squares += e_.cells.area_mm2[c] * rest_[c] * rest_[c];
      if (squares < kLeastShare * all_) continue;
      for (const int c : local.cells)
        out.explained_mm[c] += rest_[c];
      Flaw flaw = described_flaw(local);
      flaw.share = std::clamp(squares / all_, 0.0, 1.0);
      out.flaws.push_back(std::move(flaw));
    }
  }

  const DiagnosisEvidence& e_;
  Box part_;
  FlatFaces flat_;
  Eigen::VectorXi face_of_cell_;
  CellReadings readings_;
  VectorXd rest_;    ///< what no flaw explains yet
  VectorXd placed_;  ///< what was read, less the motion that comes with the flaws
  double all_;
  std::vector<Wall> walls_;
};

}  // namespace

Diagnosis diagnose(const DiagnosisEvidence& evidence) {
  return Diagnoser(evidence).find();
}

}  // namespace trammel
