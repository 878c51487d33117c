#include "trammel/judge/hole_meant.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kLeastBeside_mm = 2.0;
constexpr double kTwiceAsFar = 2.0;
constexpr double kSameAxis = 1e-3;  // of the radius

/// A wall as the plan's point sees it.
struct Bore {
  Vector3d center_mm, axis;
  double radius_mm, low_mm, high_mm;
};

Bore bore_of(const HoleResult& result) {
  return {result.nominal_mm, result.axis, 0.5 * result.nominal_diameter_mm,
          result.above_mm - result.depth_mm, result.above_mm};
}

Bore bore_of(const DesignHole& hole) {
  return {hole.center_mm, hole.axis, hole.radius_mm, hole.low_mm, hole.high_mm};
}

/// How far a point lies from the cylinder that a wall encloses; nowhere in it.
struct Beside {
  double across_mm, along_mm;
  [[nodiscard]] double distance_mm() const { return std::hypot(across_mm, along_mm); }
};

Beside beside(const Vector3d& at_mm, const Bore& bore) {
  const Vector3d arm = at_mm - bore.center_mm;
  const double level = bore.axis.dot(arm);
  return {std::max(0.0, (arm - level * bore.axis).norm() - bore.radius_mm),
          level - std::clamp(level, bore.low_mm, bore.high_mm)};
}

bool share_an_axis(const Bore& a, const Bore& b) {
  const Vector3d arm = b.center_mm - a.center_mm;
  const double slack_mm = kSameAxis * std::min(a.radius_mm, b.radius_mm);
  return (arm - a.axis.dot(arm) * a.axis).norm() < slack_mm &&
         std::abs(a.axis.dot(b.axis)) > 1.0 - kSameAxis;
}

bool is_same(const HoleResult& a, const HoleResult& b) {
  const double apart_mm = std::abs(a.axis.dot(b.nominal_mm - a.nominal_mm));
  return a.kind == b.kind && share_an_axis(bore_of(a), bore_of(b)) &&
         std::abs(a.nominal_diameter_mm - b.nominal_diameter_mm) < kSameAxis &&
         apart_mm <= std::max(a.depth_mm, b.depth_mm) + kSameAxis;
}

void leave_open(HoleResult& result, const std::string& reason) {
  result.outcome = Outcome::Undecided;
  result.free_width_mm.reset();
  result.conformity.reset();
  result.reasons = {reason};
}

}  // namespace

std::optional<std::string> doubt_of_meaning(const HoleCheck& check, const HoleResult& result,
                                            const std::vector<DesignHole>& holes) {
  const Bore own = bore_of(result);
  const Beside from_own = beside(check.at_mm, own);
  const double across_mm = from_own.across_mm;
  if (across_mm == 0.0) return std::nullopt;
  const std::string where = kPointGiven + fixed(across_mm, 1) + " mm beside the nearest " +
                            round_word(check.kind) + " of the design";
  if (across_mm > std::max(own.radius_mm, kLeastBeside_mm)) return where;
  if (check.kind == RoundKind::Pin) return std::nullopt;
  for (const DesignHole& hole : holes) {
    const Bore other = bore_of(hole);
    if (share_an_axis(own, other) ||
        beside(check.at_mm, other).distance_mm() >= kTwiceAsFar * from_own.distance_mm())
      continue;
    return where + ", and about as near to another, at " + place_words(hole.middle_mm());
  }
  return std::nullopt;
}

void doubt_holes_not_meant(const std::vector<HoleCheck>& checks,
                           const std::vector<DesignHole>& holes, std::vector<HoleResult>& results) {
  for (std::size_t i = 0; i < results.size(); ++i) {
    if (results[i].nominal_diameter_mm <= 0.0) continue;
    if (const auto doubt = doubt_of_meaning(checks[i], results[i], holes)) {
      leave_open(results[i], *doubt);
      continue;
    }
    if (beside(checks[i].at_mm, bore_of(results[i])).across_mm == 0.0) continue;
    for (std::size_t j = 0; j < results.size(); ++j) {
      if (j == i || results[j].nominal_diameter_mm <= 0.0 || !is_same(results[i], results[j]))
        continue;
      leave_open(results[i], std::string(kPointGiven) + "beside what is already " +
                                 named(round_word(checks[j].kind), checks[j].name));
      break;
    }
  }
}

}  // namespace trammel
