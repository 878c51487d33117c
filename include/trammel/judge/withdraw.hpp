#pragma once

/// What is taken back where the scan's place on the design is in doubt.

#include "trammel/model/verdict.hpp"

namespace trammel {

/// A pose that may be wrong proves no fault, and no conformity either: what failed or passed in it
/// is undecided, and nothing has a probability. What is listed stays so.
void withdraw_faults(Verdict& verdict);

}  // namespace trammel
