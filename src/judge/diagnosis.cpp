#include "trammel/judge/diagnosis.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/judge/coverage.hpp"
#include "trammel/judge/describe_flaw.hpp"
#include "trammel/judge/explain.hpp"
#include "trammel/judge/independent_readings.hpp"
#include "trammel/judge/local_flaws.hpp"
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
        part_(bounding_box(evidence.design.vertices_mm)),
        flat_(find_flat_faces(evidence.design)),
        walls_(find_walls(flat_.faces, kThickestWall_mm)),
        face_of_cell_(faces_of_cells(evidence.cells, flat_)),
        readings_(readings_of_form(evidence, face_of_cell_)),
        rest_(readings_.deviation_mm),
        placed_(rest_),
        all_(misfit(evidence.cells, rest_)) {}

  Diagnosis find() {
    Diagnosis out;
    out.explained_mm.setZero(e_.cells.size());
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

  [[nodiscard]] Explanation explanation() const {
    const auto blocks = independent_readings(e_.cells, readings_, face_of_cell_,
                                             block_side_mm(e_, part_.diagonal_mm()));
    const VectorXd matters = matters_at_all(e_, blocks.place_mm);
    ExplainSettings settings;
    if (matters.size() > 0) settings.reach_mm = 0.5 * matters.minCoeff();
    return explain(blocks, flat_.faces, walls_, matters, part_.center_mm(), settings);
  }

  /// The motion counts with the first flaw, which made it necessary.
  void add_smooth_flaws(Diagnosis& out) {
    const Explanation found = explanation();
    if (found.flaws.empty()) return;
    for (Index c = 0; c < e_.cells.size(); ++c)
      out.explained_mm[c] = motion_at(part_.center_mm(), place_of(c)).dot(found.motion);
    rest_ -= out.explained_mm;
    placed_ = rest_;
    double before = all_;
    for (const ExplainedFlaw& explained : found.flaws) {
      VectorXd makes(e_.cells.size());
      for (Index c = 0; c < e_.cells.size(); ++c)
        makes[c] = deviation_of(explained, flat_.faces, part_.center_mm(), place_of(c));
      out.explained_mm += makes;
      rest_ -= makes;
      const double after = misfit(e_.cells, rest_);
      Flaw flaw = described_flaw(explained, flat_.faces, part_, matters_at(e_, part_.center_mm()));
      flaw.share = std::clamp((before - after) / all_, 0.0, 1.0);
      before = std::min(before, after);
      out.flaws.push_back(std::move(flaw));
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

  /// As read, or with the motion that comes with the flaws. What a face that moved left in its
  /// place stands out of that face alone: of a wall made too thin, a strip as thick as drawn is no
  /// blob, and to take it off would be wrong.
  [[nodiscard]] bool is_where_drawn(const LocalFlaw& local, const VectorXd& beyond_mm) const {
    const bool of_one_face = local.flaw.kind == FlawKind::Dent || local.flaw.kind == FlawKind::Blob;
    if (!of_one_face || local.flaw.of_wall) return false;
    const double sign = local.flaw.figure_mm < 0.0 ? -1.0 : 1.0;
    double read = 0.0, placed = 0.0, least = 0.0;
    for (const int c : local.cells) {
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
  std::vector<Wall> walls_;
  Eigen::VectorXi face_of_cell_;
  CellReadings readings_;
  VectorXd rest_;    ///< what no flaw explains yet
  VectorXd placed_;  ///< what was read, less the motion that comes with the flaws
  double all_;
};

}  // namespace

Diagnosis diagnose(const DiagnosisEvidence& evidence) {
  return Diagnoser(evidence).find();
}

}  // namespace trammel
