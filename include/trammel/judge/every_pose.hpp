#pragma once

/// A symmetric part lies in one of several poses, and no scan tells in which: where the verdict is
/// the same in all of them, it stands.

#include "trammel/judge/judge.hpp"

namespace trammel {

/// More poses than this are not judged one by one.
constexpr std::size_t kMostPoses = 12;

/// Is each pose known, and are they few enough to judge the part in each?
[[nodiscard]] bool can_judge_each(const Alignment& alignment);

/// The alignment as if one of its poses were the only one that fits.
/// @param which  0: the best; i: others[i − 1]
[[nodiscard]] Alignment taken_for_right(const Alignment& alignment, std::size_t which);

[[nodiscard]] PoseOutcome outcome_in(const Alignment& alignment, std::size_t which,
                                     const Verdict& verdict);

/// A verdict that may stand: pass or fail, the same in each of the poses so far.
[[nodiscard]] bool agree(const std::vector<PoseOutcome>& poses);

/// Writes into the verdict of the best pose that it was reached in all of them.
void note_agreement(Verdict& verdict, const std::vector<PoseOutcome>& poses);

/// Writes into the verdict of a pose in doubt in which two poses it differs. Nothing where the best
/// pose alone leaves it undecided: that has its own reasons.
void note_disagreement(Verdict& verdict, const std::vector<PoseOutcome>& poses);

}  // namespace trammel
