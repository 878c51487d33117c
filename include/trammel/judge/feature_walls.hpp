#pragma once

/// What the line of a hole, pin or slot tells needs no line of its own: the wall of one that is out
/// or was not made is off as well.

#include "trammel/model/flaw.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// The region is no larger than, and lies in or beside, the drawn wall of a hole, pin or slot that
/// failed, was not made or is not sure to go all the way; holes and slots that the plan does not
/// name count where they are closed.
[[nodiscard]] bool is_told_by_feature(const Region& region, const Verdict& verdict);

/// The flaw is one of that wall's own faces, or a patch in or beside one that was not made.
[[nodiscard]] bool is_told_by_feature(const Flaw& flaw, const Verdict& verdict);

}  // namespace trammel
