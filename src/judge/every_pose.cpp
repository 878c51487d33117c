#include "trammel/judge/every_pose.hpp"

#include <algorithm>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

std::string in_words(const PoseOutcome& pose) {
  const std::string where = pose.words.empty() ? "as it fits best" : pose.words;
  switch (pose.outcome) {
    case Outcome::Pass: return where + " the part passes";
    case Outcome::Fail: return where + " it fails (" + pose.reason + ")";
    case Outcome::Undecided:
    case Outcome::Listed: break;
  }
  return where + " it is undecided (" + pose.reason + ")";
}

}  // namespace

bool can_judge_each(const Alignment& alignment) {
  return alignment.is_one_of_several() && alignment.others.size() < kMostPoses;
}

Alignment taken_for_right(const Alignment& alignment, std::size_t which) {
  Alignment out = alignment;
  out.ambiguous = false;
  out.others.clear();
  if (which == 0) return out;
  const OtherPose& pose = alignment.others.at(which - 1);
  const Eigen::Isometry3d turn = pose.T_design_scan * alignment.T_design_scan.inverse();
  Matrix6d both = Matrix6d::Zero();
  both.topLeftCorner<3, 3>() = both.bottomRightCorner<3, 3>() = turn.linear();
  out.T_design_scan = pose.T_design_scan;
  out.rms_mm = pose.rms_mm;
  out.overlap = pose.overlap;
  out.center_mm = turn * alignment.center_mm;
  out.information = both * alignment.information * both.transpose();
  out.covariance = both * alignment.covariance * both.transpose();
  return out;
}

PoseOutcome outcome_in(const Alignment& alignment, std::size_t which, const Verdict& verdict) {
  PoseOutcome out;
  if (which > 0) out.words = alignment.others.at(which - 1).words;
  out.outcome = verdict.outcome;
  if (!verdict.reasons.empty()) out.reason = verdict.reasons.front();
  return out;
}

bool agree(const std::vector<PoseOutcome>& poses) {
  return !poses.empty() && std::all_of(poses.begin(), poses.end(), [&](const PoseOutcome& pose) {
    return pose.outcome == poses.front().outcome &&
           (pose.outcome == Outcome::Pass || pose.outcome == Outcome::Fail);
  });
}

void note_agreement(Verdict& verdict, const std::vector<PoseOutcome>& poses) {
  TRAMMEL_CHECK(poses.size() > 1, "one pose by itself agrees with none");
  verdict.in_poses = poses;
  const std::string verb = verdict.outcome == Outcome::Pass ? "passes" : "fails";
  verdict.reasons.push_back("The scan fits as well in " + std::to_string(poses.size()) +
                            " places (" + poses[1].words +
                            "): the part was judged in each, and it " + verb +
                            " in each. The figures are those of the best");
}

void note_disagreement(Verdict& verdict, const std::vector<PoseOutcome>& poses) {
  if (poses.size() < 2) return;
  verdict.in_poses = poses;
  const std::string first = in_words(poses.front());
  verdict.reasons.insert(verdict.reasons.begin(), "Which way round the part lies decides: " +
                                                      first + ", " + in_words(poses.back()));
}

}  // namespace trammel
