#pragma once

/// The plane that touches from outside, as a surface plate does the part that rests on it.

#include <optional>
#include <vector>

#include "trammel/base/linear_algebra.hpp"

namespace trammel {

struct TangentFit {
  SmallVector motion;         ///< #U
  std::vector<int> touching;  ///< #U rows that end at 0, ascending
};

/// The motion x after which no reading stands out, r + rows · x ≤ 0, and the mean gap is least: the
/// centroid of the readings lies over the touching ones, so the part rests without rocking
/// [constrained L1 norm: Shakarji & Srinivasan 2015, JCISE 15(4), from memory].
///
/// A linear programme of up to three unknowns: every set of #U rows is tried as the touching ones.
/// @param rows         #P × #U, change of each reading by each unknown; #U 1 to 3, #P ≤ 100
/// @param readings_mm  #P, + outside
/// @return nothing when no set of rows holds all unknowns
[[nodiscard]] std::optional<TangentFit> touch_from_outside(const Eigen::MatrixXd& rows,
                                                           const Eigen::VectorXd& readings_mm);

}  // namespace trammel
