#include "trammel/judge/bolt_up.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/judge/bolt_pattern.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kParallel = 0.9994;  // two degrees

struct GroupHole {
  const HoleCheck* check;
  const HoleResult* result;
};
using Group = std::vector<GroupHole>;

std::string title(const BoltUp& up) {
  return up.group.empty() ? "The bolts" : "The bolts of group '" + up.group + "'";
}

/// Why the group cannot be told of; empty when it can.
std::string doubt_of(const Group& group) {
  const Vector3d axis = group.front().result->axis;
  for (const GroupHole& hole : group) {
    if (!hole.result->free_width_mm || !hole.result->offset_mm) {
      return "hole " + hole.check->name +
             (hole.result->rims == 1 ? " was seen by one rim only" : " was not measured");
    }
    if (std::abs(hole.result->axis.dot(axis)) < kParallel) {
      return "hole " + hole.check->name + " does not run the way the others do";
    }
  }
  return {};
}

class GroupJudge {
 public:
  GroupJudge(const Group& group, BoltUp up) : group_(group), up_(std::move(up)) {
    const Vector3d axis = group.front().result->axis;
    u_ = across(axis).u;
    v_ = across(axis).v;
    for (const GroupHole& hole : group) {
      const HoleResult& result = *hole.result;
      pattern_.push_back({flat(result.nominal_mm + *result.offset_mm), flat(result.nominal_mm),
                          0.5 * (*result.free_width_mm - *hole.check->bolt_mm)});
      up_.uncertainty_mm = std::max(up_.uncertainty_mm, result.play_uncertainty_mm);
    }
  }

  BoltUp judged() {
    const PatternFit fit = best_play(pattern_);
    up_.play_mm = fit.play_mm;
    up_.turn_rad = fit.turn_rad;
    up_.shift_mm = raised(fit.shift_mm);
    up_.outcome = decide_at_least(up_.play_mm, 0.0, up_.uncertainty_mm);
    if (up_.outcome == Outcome::Fail) add_openings();
    up_.words = words();
    return up_;
  }

 private:
  [[nodiscard]] Vector2d flat(const Vector3d& p) const { return {p.dot(u_), p.dot(v_)}; }
  [[nodiscard]] Vector3d raised(const Vector2d& p) const { return p.x() * u_ + p.y() * v_; }

  /// Opened so that a bolt passes also where U counts against it.
  void add_openings() {
    const PatternOpenings openings = fewest_openings(pattern_, up_.uncertainty_mm);
    for (std::size_t k = 0; k < openings.holes.size(); ++k) {
      const GroupHole& hole = group_[openings.holes[k]];
      const Vector2d& lacking = openings.lacking_mm[k];
      const double needed = *hole.check->bolt_mm + 2.0 * (lacking.norm() + up_.uncertainty_mm);
      HoleOpening opening;
      opening.hole = hole.check->name;
      opening.diameter_mm = 0.1 * std::ceil(10.0 * needed - 1e-9);
      opening.slot_mm = 0.5 * (opening.diameter_mm - *hole.result->free_width_mm);
      opening.towards = raised(lacking.normalized());
      up_.openings.push_back(std::move(opening));
    }
  }

  [[nodiscard]] std::string words() const {
    const std::string play =
        fixed(std::abs(up_.play_mm), 2) + " ± " + fixed(up_.uncertainty_mm, 2) + " mm";
    const std::string place = " with the part moved " + fixed(up_.shift_mm.norm(), 2) +
                              " mm and turned " + fixed(std::abs(up_.turn_rad) * 180.0 / kPi, 2) +
                              "°";
    if (up_.outcome == Outcome::Pass) {
      return title(up_) + " all go through," + place + ", with " + play +
             " of play at the tightest";
    }
    if (up_.outcome == Outcome::Undecided) {
      return title(up_) + " may or may not all go through: play at the tightest " +
             signed_fixed(up_.play_mm, 2) + " ± " + fixed(up_.uncertainty_mm, 2) + " mm";
    }
    std::string text = title(up_) + " do not all go through, wherever the part is moved: " + play +
                       " lack at the tightest";
    for (const HoleOpening& opening : up_.openings) {
      text += "; open hole " + opening.hole + " to " + fixed(opening.diameter_mm, 1) +
              " mm, or make it longer by " + fixed(opening.slot_mm, 1) + " mm towards " +
              direction_words(opening.towards);
    }
    return text;
  }

  const Group& group_;
  BoltUp up_;
  Vector3d u_, v_;
  std::vector<BoltedHole> pattern_;
};

BoltUp judged(const std::string& name, const Group& group) {
  BoltUp up;
  up.group = name;
  const std::string doubt = doubt_of(group);
  if (doubt.empty()) return GroupJudge(group, up).judged();
  up.words = title(up) + " cannot be told of together: " + doubt;
  return up;
}

}  // namespace

bool bolts_up_in_group(const Plan& plan, const HoleCheck& hole) {
  int members = 0;
  for (const HoleCheck& other : plan.holes) {
    if (!other.bolt_mm) continue;
    if (other.group != hole.group) return false;
    ++members;
  }
  return hole.bolt_mm && !hole.group.empty() && members >= 2;
}

std::vector<BoltUp> bolt_up(const Plan& plan, const std::vector<HoleResult>& holes) {
  std::vector<std::pair<std::string, Group>> groups;
  for (std::size_t i = 0; i < std::min(plan.holes.size(), holes.size()); ++i) {
    const HoleCheck& check = plan.holes[i];
    if (!check.bolt_mm) continue;
    const auto joins = [&](const std::pair<std::string, Group>& group) {
      const Vector3d axis = group.second.front().result->axis;
      return group.first == check.group &&
             (!check.group.empty() || std::abs(axis.dot(holes[i].axis)) >= kParallel);
    };
    auto at = std::find_if(groups.begin(), groups.end(), joins);
    if (at == groups.end()) at = groups.insert(groups.end(), {check.group, {}});
    at->second.push_back({&check, &holes[i]});
  }
  std::vector<BoltUp> out;
  for (const auto& [name, group] : groups)
    if (group.size() >= 2) out.push_back(judged(name, group));
  return out;
}

}  // namespace trammel
