#include "pose_judge.hpp"

#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/judge/every_pose.hpp"

namespace trammel {
namespace {

CellSettings cell_settings(const Plan& plan, double spacing_mm) {
  CellSettings out;
  out.radius_mm = pooling_radius_mm(plan);
  out.spacing_mm = spacing_mm;
  return out;
}

}  // namespace

double pooling_radius_mm(const Plan& plan) {
  return 0.8 * std::sqrt(plan.least_area_mm2 / kPi);
}

ReadInPose PoseJudge::read_at(const Eigen::Isometry3d& T_design_scan,
                              const ProofSettings& proof) const {
  ReadInPose out;
  CompareSettings settings;
  settings.coating_mm = plan.coating_mm;
  out.normals = facing_normals(scan, index, T_design_scan);
  out.deviations = compare(scan, out.normals, index, T_design_scan, settings);
  out.proof = prove_readings(scan, out.normals, index.mesh(), T_design_scan, settings,
                             out.deviations, Rng(kSeed).stream("prove"), proof);
  out.grips = set_aside_grips(scan.points_mm, T_design_scan, out.normals, index, tidy.spacing_mm,
                              out.deviations);
  out.readings =
      read_cells(index.mesh(), tree, out.deviations, cell_settings(plan, tidy.spacing_mm));
  return out;
}

Judgement PoseJudge::judge_as(const ReadInPose& read, const Alignment& alignment) const {
  return judge({plan, index, health, scan, read.normals, tidy, units, alignment, read.deviations,
                read.grips, tree, read.readings, holes, slots, faces, mates});
}

Judgement PoseJudge::judge_in_each(const ReadInPose& best, const Alignment& alignment) const {
  if (!can_judge_each(alignment)) return judge_as(best, alignment);
  Judgement judgement = judge_as(best, taken_for_right(alignment, 0));
  std::vector<PoseOutcome> poses{outcome_in(alignment, 0, judgement.verdict)};
  for (std::size_t i = 1; i <= alignment.others.size() && agree(poses); ++i) {
    const Alignment other = taken_for_right(alignment, i);
    const ReadInPose read = read_at(other.T_design_scan);
    poses.push_back(outcome_in(alignment, i, judge_as(read, other).verdict));
  }
  if (agree(poses)) {
    note_agreement(judgement.verdict, poses);
    return judgement;
  }
  judgement = judge_as(best, alignment);
  note_disagreement(judgement.verdict, poses);
  return judgement;
}

}  // namespace trammel
