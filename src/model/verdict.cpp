#include "trammel/model/verdict.hpp"

namespace trammel {
namespace {

int severity(Outcome outcome) {
  if (outcome == Outcome::Fail) return 2;
  return outcome == Outcome::Undecided ? 1 : 0;
}

}  // namespace

std::string outcome_name(Outcome outcome) {
  switch (outcome) {
    case Outcome::Pass: return "pass";
    case Outcome::Fail: return "fail";
    case Outcome::Undecided: return "undecided";
    case Outcome::Listed: return "listed";
  }
  return "undecided";
}

bool is_told_with_larger(const std::vector<Region>& regions, const Region& region) {
  return region.told_with != 0 &&
         regions[static_cast<std::size_t>(region.told_with) - 1].outcome == Outcome::Fail;
}

std::string absence_name(Absence absence) {
  switch (absence) {
    case Absence::Material: return "material";
    case Absence::Feature: return "feature";
    case Absence::Hole: return "hole";
    case Absence::None: break;
  }
  return "none";
}

std::string kind_name(RegionKind kind) {
  return kind == RegionKind::Proud ? "proud" : "shy";
}

std::string state_name(HoleState state) {
  switch (state) {
    case HoleState::Measured: return "measured";
    case HoleState::Closed: return "closed";
    case HoleState::Missing: return "missing";
    case HoleState::Unseen: return "unseen";
  }
  return "unseen";
}

Outcome worse(Outcome a, Outcome b) {
  const Outcome heavier = severity(b) > severity(a) ? b : a;
  return heavier == Outcome::Listed ? Outcome::Pass : heavier;
}

ExitCode exit_code_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::Pass: return ExitCode::Pass;
    case Outcome::Fail: return ExitCode::Fail;
    case Outcome::Undecided:
    case Outcome::Listed: break;
  }
  return ExitCode::Undecided;
}

}  // namespace trammel
