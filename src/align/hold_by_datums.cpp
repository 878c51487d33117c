#include "trammel/align/hold_by_datums.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/align/best_fit.hpp"
#include "trammel/align/datum_features.hpp"
#include "trammel/align/describe_pose.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/tangent_fit.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/measure_hole.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;
using Vector6d = Eigen::Matrix<double, 6, 1>;

constexpr std::size_t kPoints = 100'000;
constexpr double kReachShare = 0.02;  // of the diagonal: farther points are on no datum
constexpr double kLeastGrip = 0.05;   // a motion that moves a datum by less than this share of
                                      // what it moves the part is not held by it
constexpr int kMostRounds = 8;        // through all datums
constexpr double kRestShare = 1e-6;   // of the diagonal, between two rounds

/// What one datum asks of the pose: rows · motion = −readings, motion in units of the arm.
struct Demand {
  MatrixXd rows;  ///< #R × 6
  VectorXd readings_mm, error_mm;
  bool of_face = false;
  bool one_sided = false;  ///< readings may end below 0 but not above
  std::string lacking;     ///< why there is none; empty otherwise
};

// Products are plain loops here (lazyProduct): with six columns at most, blocks gain nothing, and
// every blocked product costs seconds of building.

/// AᵀA of few columns.
SmallMatrix square_of(const MatrixXd& moves) {
  return moves.transpose().lazyProduct(moves);
}

/// Everything that stays the same over the rounds.
struct Held {
  std::vector<FoundDatum> features;
  Vector3d center_mm;
  double arm_mm;
};

Vector6d row_of(const Held& held, const Vector3d& at, const Vector3d& direction) {
  Vector6d row;
  row << (at - held.center_mm).cross(direction) / held.arm_mm, direction;
  return row;
}

Demand demand_of_face(const Held& held, const PlacedScan& placed, const DatumFace& face,
                      const AlignSettings& settings, DatumHold& note) {
  const FacePatches patches = face_patches(placed, face, settings.coating_mm);
  Demand demand;
  note.feature = "face";
  note.at_mm = face.face.center_mm;
  note.seen = patches.seen;
  if (patches.seen < settings.least_seen) {
    demand.lacking = "only " + share_words(patches.seen) + " of its face was seen, and " +
                     share_words(settings.least_seen) + " are needed";
    return demand;
  }
  demand.rows.resize(patches.height_mm.size(), 6);
  for (Index i = 0; i < patches.height_mm.size(); ++i)
    demand.rows.row(i) = row_of(held, patches.at_mm.col(i), face.face.normal);
  demand.readings_mm = patches.height_mm;
  demand.error_mm = patches.error_mm;
  demand.of_face = true;
  demand.one_sided = settings.datum_fit == DatumFit::Outer;
  note.form_mm = patches.height_mm.maxCoeff() - patches.height_mm.minCoeff();
  return demand;
}

Demand demand_of_hole(const Held& held, const PlacedScan& placed, const DesignHole& hole,
                      const AlignSettings& settings, DatumHold& note) {
  MeasureHoleSettings how;
  how.coating_mm = settings.coating_mm;
  const MeasuredHole measured = measure_hole(placed.points_mm, placed.normals, hole, how);
  Demand demand;
  note.feature = "hole";
  note.at_mm = hole.middle_mm();
  if (measured.status != HoleStatus::Measured) {
    demand.lacking = measured.reason;
    return demand;
  }
  note.seen = measured.cover_deg / 360.0;
  const auto [u, v] = across(hole.axis);
  demand.rows.resize(2, 6);
  demand.rows.row(0) = row_of(held, hole.middle_mm(), u);
  demand.rows.row(1) = row_of(held, hole.middle_mm(), v);
  demand.readings_mm = Eigen::Vector2d(measured.offset_mm.dot(u), measured.offset_mm.dot(v));
  demand.error_mm = VectorXd::Constant(2, measured.center_error_mm);
  return demand;
}

/// One round through the datums from a pose.
struct Round {
  Eigen::Isometry3d T_design_scan;
  MatrixXd free = MatrixXd::Identity(6, 6);  ///< motions that nothing holds yet, one a column
  Matrix6d covariance = Matrix6d::Zero();    ///< in units of the arm
  std::vector<DatumHold> notes;
  std::string lacking;  ///< what stops it
};

/// Of the free motions those that move this datum, and those that do not.
struct Grip {
  MatrixXd held, free;  ///< 6 × #
};

Grip grip_of(const Demand& demand, const MatrixXd& free) {
  if (free.cols() == 0) return {MatrixXd(6, 0), free};
  const MatrixXd moves = demand.rows.lazyProduct(free);
  const SymmetricEigen eigen =
      symmetric_eigen(square_of(moves) / static_cast<double>(moves.rows()));
  Index loose = 0;
  while (loose < eigen.values.size() && eigen.values[loose] < kLeastGrip * kLeastGrip)
    ++loose;
  const MatrixXd turned = free.lazyProduct(eigen.vectors);
  return {turned.rightCols(turned.cols() - loose), turned.leftCols(loose)};
}

/// How the datum's readings make its motion: motion = −gain · readings of the rows that count.
struct Answer {
  VectorXd motion;  ///< #U
  MatrixXd gain;    ///< #U × #rows
  std::vector<Index> rows;
  double variance_factor = 1.0;
};

std::optional<Answer> touched(const MatrixXd& moves, const VectorXd& readings) {
  const auto fit = touch_from_outside(moves, readings);
  if (!fit) return std::nullopt;
  Answer answer;
  answer.rows.assign(fit->touching.begin(), fit->touching.end());
  const MatrixXd corner = moves(answer.rows, Eigen::all);
  answer.gain = solve_symmetric(square_of(corner), corner.transpose());
  answer.motion = fit->motion;
  answer.variance_factor = 1.0 + 2.0 * std::log(static_cast<double>(moves.rows()));
  return answer;
}

Answer averaged(const MatrixXd& moves, const VectorXd& readings) {
  Answer answer;
  for (Index i = 0; i < moves.rows(); ++i)
    answer.rows.push_back(i);
  const SmallMatrix squares = square_of(moves);
  const SmallMatrix inverse =
      solve_symmetric(squares, SmallMatrix::Identity(squares.rows(), squares.cols()));
  answer.gain = inverse.lazyProduct(moves.transpose());
  answer.motion = -answer.gain.lazyProduct(readings);
  return answer;
}

/// The errors of the datums before move this one, which makes up for it as far as it can.
void carry_errors(Round& round, const Demand& demand, const Answer& answer, const MatrixXd& held) {
  const MatrixXd rows = demand.rows(answer.rows, Eigen::all);
  const MatrixXd gain = held.lazyProduct(answer.gain);
  const Matrix6d passed = Matrix6d::Identity() - Matrix6d(gain.lazyProduct(rows));
  const VectorXd variance = answer.variance_factor * demand.error_mm(answer.rows).array().square();
  const MatrixXd errors = gain.array().rowwise() * variance.array().transpose();
  round.covariance = Matrix6d(passed * round.covariance) * passed.transpose() +
                     Matrix6d(errors.lazyProduct(gain.transpose()));
}

/// A face whose distance is held already (by a hole before it) tells the part's turn by its own
/// direction: where it lies is then an unknown of its own, found and dropped.
bool needs_own_offset(const Demand& demand, const MatrixXd& moves) {
  constexpr double kSpanned = 0.5;
  if (!demand.of_face) return false;
  const SmallMatrix squares = square_of(moves);
  const SmallMatrix sums = moves.colwise().sum().transpose();
  const SmallMatrix shares = solve_symmetric(squares, sums);
  const double left = (VectorXd::Ones(moves.rows()) - moves.lazyProduct(shares)).norm();
  return left > kSpanned * std::sqrt(static_cast<double>(moves.rows()));
}

std::optional<Answer> answer_of(const Demand& demand, const MatrixXd& held) {
  MatrixXd moves = demand.rows.lazyProduct(held);
  const Index unknowns = moves.cols();
  if (needs_own_offset(demand, moves)) {
    moves.conservativeResize(moves.rows(), unknowns + 1);
    moves.col(unknowns).setOnes();
  }
  auto answer = demand.one_sided ? touched(moves, demand.readings_mm)
                                 : std::optional<Answer>(averaged(moves, demand.readings_mm));
  if (!answer) return answer;
  answer->motion = VectorXd(answer->motion.head(unknowns));
  answer->gain = MatrixXd(answer->gain.topRows(unknowns));
  return answer;
}

void take(Round& round, const Held& held, const Demand& demand, DatumHold& note) {
  const Grip grip = grip_of(demand, round.free);
  note.motions = static_cast<int>(grip.held.cols());
  round.free = grip.free;
  if (grip.held.cols() == 0) return;
  const auto answer = answer_of(demand, grip.held);
  if (!answer) {
    round.lacking = "no plane could be laid on what was seen of it";
    return;
  }
  note.touching = demand.one_sided ? static_cast<int>(answer->rows.size()) : 0;
  carry_errors(round, demand, *answer, grip.held);
  Vector6d motion = grip.held.lazyProduct(answer->motion);
  motion.head<3>() /= held.arm_mm;
  round.T_design_scan = small_motion(motion, held.center_mm) * round.T_design_scan;
}

Round go_round(const Held& held, const ScanSample& sample, const SurfaceIndex& design,
               const FlatFaces& flat, const Eigen::Isometry3d& start,
               const AlignSettings& settings) {
  Round round;
  round.T_design_scan = start;
  for (std::size_t i = 0; i < held.features.size(); ++i) {
    DatumHold note;
    note.label = settings.datums[i].label;
    note.at_mm = settings.datums[i].at_mm;
    const PlacedScan placed =
        place_scan(sample, design, flat, round.T_design_scan, 2.0 * kReachShare * held.arm_mm);
    Demand demand;
    if (const auto* face = std::get_if<DatumFace>(&held.features[i].feature)) {
      demand = demand_of_face(held, placed, *face, settings, note);
    } else if (const auto* hole = std::get_if<DesignHole>(&held.features[i].feature)) {
      demand = demand_of_hole(held, placed, *hole, settings, note);
    } else {
      demand.lacking = held.features[i].reason;
    }
    round.lacking = demand.lacking;
    if (round.lacking.empty()) take(round, held, demand, note);
    round.notes.push_back(note);
    if (round.lacking.empty()) continue;
    round.lacking = "datum " + note.label + " at " + place_words(settings.datums[i].at_mm) +
                    " cannot hold the part: " + round.lacking;
    return round;
  }
  if (round.free.cols() > 0)
    round.lacking = "the three datums leave " +
                    counted(static_cast<std::size_t>(round.free.cols()), "motion", "motions") +
                    " of the part free";
  return round;
}

std::string held_words(const std::vector<DatumHold>& notes, DatumFit fit) {
  std::string words = "datums ";
  bool faces = false;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    words += (i == 0                  ? ""
              : i + 1 == notes.size() ? " and "
                                      : ", ") +
             notes[i].label + " (" + notes[i].feature + ")";
    faces = faces || notes[i].feature == "face";
  }
  if (!faces) return words;
  return words + (fit == DatumFit::Outer ? ", faces by the plane that touches them from outside"
                                         : ", faces by their least-squares plane");
}

Matrix6d in_radians(Matrix6d covariance, double arm_mm) {
  covariance.topRows<3>() /= arm_mm;
  covariance.leftCols<3>() /= arm_mm;
  return covariance;
}

/// The pose of the datums; the points on them are chosen anew until it rests.
Round settle(const Held& held, const ScanSample& sample, const FineStage& stage,
             const FlatFaces& flat, const Alignment& start, const AlignSettings& settings,
             SurfaceFit& fit) {
  fit.T_design_scan = start.T_design_scan;
  fit.iterations = start.iterations;
  Round round;
  for (int k = 0; k < kMostRounds && !fit.converged; ++k) {
    round = go_round(held, sample, stage.design, flat, fit.T_design_scan, settings);
    if (!round.lacking.empty()) return round;
    ++fit.iterations;
    fit.converged = corner_distance_mm(fit.T_design_scan, round.T_design_scan, stage.coarse.box) <
                    kRestShare * stage.coarse.diagonal_mm;
    fit.T_design_scan = round.T_design_scan;
  }
  return round;
}

}  // namespace

Alignment hold_by_datums(const Scan& scan, const FineStage& stage, const AlignSettings& settings,
                         const Rng& rng) {
  Alignment start = best_fit(stage, settings);
  start.held_by = "best fit, as the datums do not hold it";
  if (!start.found) return start;
  const FlatFaces flat = find_flat_faces(stage.design);
  Held held;
  for (const DatumFeature& datum : settings.datums)
    held.features.push_back(find_datum(stage.design, flat, datum.at_mm, rng.stream(datum.label)));
  held.center_mm = stage.coarse.box.center_mm();
  held.arm_mm = 0.5 * stage.coarse.diagonal_mm;
  const ScanSample sample = sample_scan(scan, kPoints, rng.stream("sample"));
  SurfaceFit fit;
  const Round round = settle(held, sample, stage, flat, start, settings, fit);
  if (!round.lacking.empty()) {
    start.datums = round.notes;
    start.doubts.push_back(round.lacking);
    return start;
  }
  Alignment alignment;
  Rival pose = rival_at(stage, fit.T_design_scan);
  pose.fit.iterations = fit.iterations;
  pose.fit.converged = fit.converged && start.converged;
  note_pose(alignment, pose);
  note_freedom(alignment, freedom_at(stage, pose.fit));
  alignment.free_directions.clear();  // the datums hold all six
  alignment.center_mm = held.center_mm;
  alignment.covariance = in_radians(round.covariance, held.arm_mm);
  alignment.information = solve_symmetric(
      alignment.covariance + 1e-14 * Matrix6d(Matrix6d::Identity()), Matrix6d::Identity());
  alignment.standard_error_mm =
      error_at_corners_mm(alignment.covariance, alignment.center_mm, stage.coarse.box);
  alignment.ambiguous = start.ambiguous;
  alignment.others = start.others;
  alignment.datums = round.notes;
  alignment.held_by = held_words(round.notes, settings.datum_fit);
  decide_found(alignment, settings, stage.coarse.diagonal_mm);
  return alignment;
}

}  // namespace trammel
