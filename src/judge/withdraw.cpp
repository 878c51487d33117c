#include "trammel/judge/withdraw.hpp"

#include "trammel/base/text.hpp"

namespace trammel {

void withdraw_faults(Verdict& verdict) {
  for (Region& region : verdict.regions) {
    region.conformity.reset();
    if (region.outcome == Outcome::Fail) region.outcome = Outcome::Undecided;
  }
  for (HoleResult& hole : verdict.holes) {
    hole.conformity.reset();
    if (hole.outcome == Outcome::Fail || hole.outcome == Outcome::Pass) {
      hole.outcome = Outcome::Undecided;
    }
  }
  for (SlotResult& slot : verdict.slots) {
    slot.conformity.reset();
    if (slot.outcome == Outcome::Fail || slot.outcome == Outcome::Pass) {
      slot.outcome = Outcome::Undecided;
    }
  }
  for (BoltUp& up : verdict.bolt_ups) {
    up.outcome = Outcome::Undecided;
    if (!up.words.empty())
      up.words = "How the part lies is in doubt; as it was laid: " + uncapitalised(up.words);
  }
  for (DistanceResult& distance : verdict.distances) {
    distance.conformity.reset();
    distance.outcome = Outcome::Undecided;
  }
  for (FormResult& form : verdict.forms) {
    form.conformity.reset();
    form.outcome = Outcome::Undecided;
  }
}

}  // namespace trammel
