#include "trammel/judge/bolt_up.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/judge/bolt_pattern.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/judge/mating_pattern.hpp"
#include "trammel/model/hole_lean.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

/// Diameters closer than this are one size: a mesh of floats is no finer.
constexpr double kSameSize_mm = 1e-3;
/// A bolt that lacks less than this to one side lacks it all around.
constexpr double kNoWay_mm = 0.01;

struct GroupHole {
  const HoleCheck* check;
  const HoleResult* result;
};
using Group = std::vector<GroupHole>;

std::string title(const BoltUp& up) {
  const std::string whose = up.mate.empty() ? "" : ", which stand as in " + up.mate + ",";
  return (up.group.empty() ? "The bolts" : "The bolts of group '" + up.group + "'") + whose;
}

/// Those that were not made: they let no bolt through, wherever the part is moved.
std::vector<std::string> absent_of(const Group& group) {
  std::vector<std::string> out;
  for (const GroupHole& hole : group)
    if (is_absent(hole.result->state)) out.push_back(hole.check->name);
  return out;
}

/// Why the group cannot be told of; empty when it can.
std::string doubt_of(const Group& group) {
  const Vector3d axis = group.front().result->axis;
  for (const GroupHole& hole : group) {
    if (!hole.result->free_width_mm || !hole.result->offset_mm) {
      return named("hole", hole.check->name) + (hole.result->rims == 1 ? " was seen by one rim only"
                                                : hole.result->state == HoleState::Measured
                                                    ? " may not go all the way"
                                                    : " was not measured");
    }
    if (std::abs(hole.result->axis.dot(axis)) < kParallel) {
      return named("hole", hole.check->name) + " does not run the way the others do";
    }
  }
  return {};
}

class GroupJudge {
 public:
  /// @param axis  unit, along the holes: the plane is seen from where it points to
  GroupJudge(const Group& group, BoltUp up, const Vector3d& axis)
      : group_(group), up_(std::move(up)), u_(across(axis).u), v_(across(axis).v) {
    for (const GroupHole& hole : group) {
      const HoleResult& result = *hole.result;
      pattern_.push_back({flat(result.nominal_mm + *result.offset_mm), flat(result.nominal_mm),
                          0.5 * (*result.free_width_mm - *hole.check->bolt_mm)});
      up_.uncertainty_mm = std::max(up_.uncertainty_mm, result.play_uncertainty_mm);
    }
  }

  /// The bolts where a mate has them, wherever the part must go for that.
  void lay(const std::vector<Vector2d>& bolts_mm, const std::vector<double>& lean,
           const Mate& mate) {
    std::vector<Vector2d> holes_mm;
    std::vector<double> slack_mm;
    up_.uncertainty_mm = 0.0;
    for (std::size_t i = 0; i < group_.size(); ++i) {
      const HoleResult& result = *group_[i].result;
      const double of_bolt = std::hypot(2.0 * mate.holes[i].center_error_mm, mate.uncertainty_mm);
      up_.uncertainty_mm =
          std::max(up_.uncertainty_mm, std::hypot(result.play_uncertainty_mm, of_bolt));
      pattern_[i].slack_mm -= lean[i] * result.depth_mm;
      holes_mm.push_back(pattern_[i].hole_mm);
    }
    for (const BoltedHole& one : pattern_)
      slack_mm.push_back(one.slack_mm + up_.uncertainty_mm);
    const LaidBolts laid = lay_bolts(holes_mm, bolts_mm, slack_mm);
    for (std::size_t i = 0; i < group_.size(); ++i)
      pattern_[i].bolt_mm = laid.bolts_mm[i];
    turn_is_sure_ = laid.turn_is_sure;
  }

  BoltUp judged() {
    const PatternFit fit = best_play(pattern_);
    up_.play_mm = fit.play_mm;
    if (up_.mate.empty()) {
      up_.turn_rad = fit.turn_rad;
      up_.shift_mm = raised(fit.shift_mm);
    }
    up_.outcome = decide_at_least(up_.play_mm, 0.0, up_.uncertainty_mm);
    if (up_.outcome == Outcome::Fail && !turn_is_sure_) up_.outcome = Outcome::Undecided;
    if (up_.outcome == Outcome::Fail) add_openings();
    up_.words = words();
    return up_;
  }

 private:
  [[nodiscard]] Vector2d flat(const Vector3d& p) const { return {p.dot(u_), p.dot(v_)}; }
  [[nodiscard]] Vector3d raised(const Vector2d& p) const { return p.x() * u_ + p.y() * v_; }

  /// Opened so that a bolt passes also where U counts against it. Opened along its own axis a hole
  /// leans as before.
  void add_openings() {
    const PatternOpenings openings = fewest_openings(pattern_, up_.uncertainty_mm);
    for (std::size_t k = 0; k < openings.holes.size(); ++k) {
      const GroupHole& hole = group_[openings.holes[k]];
      const Vector2d& lacking = openings.lacking_mm[k];
      const double needed = *hole.check->bolt_mm + 2.0 * (lacking.norm() + up_.uncertainty_mm);
      HoleOpening opening;
      opening.hole = hole.check->name;
      const double straight_mm = 0.1 * std::ceil(10.0 * needed - 1e-9);
      opening.diameter_mm =
          0.1 * std::ceil(10.0 * (needed + lean_of_position_mm(*hole.result)) - 1e-9);
      opening.slot_mm = 0.5 * (straight_mm - *hole.result->free_width_mm);
      if (lacking.norm() > kNoWay_mm) opening.towards = raised(lacking.normalized());
      up_.openings.push_back(std::move(opening));
      up_.is_another_pattern = up_.is_another_pattern || lacking.norm() > *hole.check->bolt_mm;
    }
    up_.is_another_pattern = up_.is_another_pattern && !up_.mate.empty();
    if (up_.is_another_pattern) up_.openings.clear();  // no hole is opened to that
  }

  [[nodiscard]] std::string words() const {
    const std::string play =
        fixed(std::abs(up_.play_mm), 2) + " ± " + fixed(up_.uncertainty_mm, 2) + " mm";
    if (up_.outcome == Outcome::Pass) {
      const std::string place = " with the part moved " + fixed(up_.shift_mm.norm(), 2) +
                                " mm and turned " + fixed(std::abs(up_.turn_rad) / kDegree, 2) +
                                "°,";
      return title(up_) + " all go through," + (up_.mate.empty() ? place : "") + " with " + play +
             " of play at the tightest";
    }
    if (up_.outcome == Outcome::Undecided) {
      return title(up_) + " may or may not all go through: play at the tightest " +
             signed_fixed(up_.play_mm, 2) + " ± " + fixed(up_.uncertainty_mm, 2) + " mm";
    }
    std::string text = title(up_) + " do not all go through, wherever the part is moved: " + play +
                       " lack at the tightest";
    for (const HoleOpening& opening : up_.openings) {
      text += "; open hole " + opening.hole + " to " + fixed(opening.diameter_mm, 1) + " mm";
      if (opening.towards.isZero()) continue;
      text += ", or make it longer by " + fixed(opening.slot_mm, 1) + " mm towards " +
              direction_words(opening.towards);
    }
    if (up_.is_another_pattern)
      text +=
          "; that is another pattern: are the mate's places in the order of the holes, and does "
          "the face given lie on it?";
    return text;
  }

  const Group& group_;
  BoltUp up_;
  Vector3d u_, v_;
  std::vector<BoltedHole> pattern_;
  bool turn_is_sure_ = true;
};

BoltUp not_told(BoltUp up, const std::string& doubt) {
  up.words = title(up) + " cannot be told of together: " + doubt;
  return up;
}

std::string doubt_of_seat(const SeatedMate& seated, const Group& group) {
  if (!seated.face_normal) return "the part's face on the mate: " + seated.reason;
  const double along = std::abs(seated.face_normal->dot(group.front().result->axis));
  return along < kParallel ? "the part's face on the mate is not square to its holes" : "";
}

/// Where the scan does not tell its side, both must come to the same.
BoltUp judged_on(const Group& group, BoltUp up, const SeatedMate& seated) {
  std::vector<std::string> names;
  for (const GroupHole& hole : group)
    names.push_back(hole.check->name);
  const MatingPattern pattern = mating_pattern(seated.mate, names);
  if (!pattern.reason.empty()) return not_told(std::move(up), pattern.reason);
  const auto judged_with = [&](const std::vector<Vector2d>& bolts_mm) {
    GroupJudge judge(group, up, *seated.face_normal);
    judge.lay(bolts_mm, pattern.lean, seated.mate);
    return judge.judged();
  };
  BoltUp as_seen = judged_with(pattern.bolts_mm);
  if (!pattern.may_be_mirrored) return as_seen;
  BoltUp turned = judged_with(mirrored(pattern.bolts_mm));
  if (as_seen.outcome != turned.outcome)
    return not_told(std::move(up), seated.mate.file +
                                       " has no normals, so it is not known from which side it "
                                       "was scanned, and the bolts go through from one side only");
  // Of two that pass the tighter; of two that do not the one nearer to it, as the other is a
  // mirrored pattern that nobody drilled.
  const bool seen_is_tighter = as_seen.play_mm < turned.play_mm;
  return seen_is_tighter != (as_seen.outcome == Outcome::Fail) ? as_seen : turned;
}

BoltUp judged(const Group& group, BoltUp up, const MateCheck* asked, const SeatedMate* seated) {
  if (seated != nullptr) {
    up.mate = seated->mate.file;
    up.mate_sha256 = seated->mate.sha256;
  }
  const std::vector<std::string> absent = absent_of(group);
  if (!absent.empty()) {
    up.outcome = Outcome::Fail;
    up.words = title(up) + " do not all go through:";
    for (const std::string& name : absent)
      up.words += (&name == &absent.front() ? " hole " : ", hole ") + name;
    up.words += absent.size() == 1 ? " is missing" : " are missing";
    return up;
  }
  const std::string doubt = doubt_of(group);
  if (!doubt.empty()) return not_told(std::move(up), doubt);
  if (asked == nullptr) return GroupJudge(group, up, group.front().result->axis).judged();
  if (seated == nullptr) return not_told(std::move(up), "the mate was not measured");
  const std::string seat = doubt_of_seat(*seated, group);
  if (!seat.empty()) return not_told(std::move(up), seat);
  return judged_on(group, std::move(up), *seated);
}

/// Null when the group's mate was not measured, or it has none.
const SeatedMate* seated_for(const std::string& group, const std::vector<SeatedMate>& mates) {
  for (const SeatedMate& seated : mates)
    if (seated.mate.group == group) return &seated;
  return nullptr;
}

/// By their name or their mate, not because they happen to be parallel.
bool is_one_group(const Plan& plan, const std::string& group) {
  return !group.empty() || mate_of(plan, group) != nullptr;
}

}  // namespace

bool bolts_up_in_group(const Plan& plan, const HoleCheck& hole) {
  int members = 0;
  for (const HoleCheck& other : plan.holes) {
    if (!other.bolt_mm) continue;
    if (other.group != hole.group) return false;
    ++members;
  }
  return hole.bolt_mm && is_one_group(plan, hole.group) && members >= 2;
}

std::vector<BoltUp> bolt_up(const Plan& plan, const std::vector<HoleResult>& holes,
                            const std::vector<SeatedMate>& mates) {
  std::vector<std::pair<std::string, Group>> groups;
  for (std::size_t i = 0; i < std::min(plan.holes.size(), holes.size()); ++i) {
    const HoleCheck& check = plan.holes[i];
    if (!check.bolt_mm) continue;
    const auto joins = [&](const std::pair<std::string, Group>& group) {
      const Vector3d axis = group.second.front().result->axis;
      return group.first == check.group &&
             (is_one_group(plan, check.group) || std::abs(axis.dot(holes[i].axis)) >= kParallel);
    };
    auto at = std::find_if(groups.begin(), groups.end(), joins);
    if (at == groups.end()) at = groups.insert(groups.end(), {check.group, {}});
    at->second.push_back({&check, &holes[i]});
  }
  std::vector<BoltUp> out;
  for (const auto& [name, group] : groups) {
    if (group.size() < 2) continue;
    BoltUp up;
    up.group = name;
    out.push_back(judged(group, std::move(up), mate_of(plan, name), seated_for(name, mates)));
  }
  return out;
}

std::vector<std::string> notes_on_bolts(const Plan& plan, const std::vector<HoleResult>& holes) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min(plan.holes.size(), holes.size()); ++i) {
    const HoleCheck& check = plan.holes[i];
    const double drawn_mm = holes[i].nominal_diameter_mm;
    if (!check.bolt_mm || !check.clearance_mm || !(drawn_mm > 0.0)) continue;
    if (drawn_mm >= *check.clearance_mm - kSameSize_mm) continue;
    out.push_back(capitalised(named("hole", check.name)) + " is drawn " + fixed(drawn_mm, 2) +
                  " mm across for a bolt of " + shortest(*check.bolt_mm) +
                  " mm; the finest clearance hole of ISO 273 is " + shortest(*check.clearance_mm) +
                  " mm");
  }
  return out;
}

}  // namespace trammel
