#include "trammel/judge/judge_distance.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <variant>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const double kParallelEnds = std::cos(kDegree), kAcrossEnds = std::sin(kDegree);
constexpr double kNoDistance_mm = 1e-3;
constexpr double kBeside_mm = 1.0;  // less than this the ends lie opposite each other
constexpr double kSteps = 1000.0;  // a millimetre: a nominal size of the design is rounded to 1 µm

/// Two decimals, or three for a limit that has them.
std::string figure(double value_mm, bool is_limit = false) {
  const bool finer = is_limit && std::abs(std::remainder(value_mm, 0.01)) > 1e-6;
  return fixed(value_mm, finer ? 3 : 2) + " mm";
}

/// A sum of decimal figures without the last bits that binary ones add.
double tidied(double value_mm) {
  return std::round(1e9 * value_mm) / 1e9;
}

/// One end of a distance: in the design, and moved to where the scan has it.
struct End {
  std::string name;    ///< "hole A", "the face at (1.0, 2.0, 3.0)"
  std::string reason;  ///< why it has no place; empty when it has
  bool is_hole = false;
  bool is_drawn = false;  ///< the design has it
  Vector3d drawn_mm = Vector3d::Zero(), made_mm = Vector3d::Zero();
  Vector3d direction = Vector3d::UnitZ();  ///< of the axis, or out of the face
  std::optional<Vector3d> made_normal;
  double uncertainty_mm = 0.0;  ///< of the made place alone, 95 %
};

End hole_end(const std::string& name, const std::vector<HoleResult>& holes) {
  End end;
  end.name = named("hole", name);
  end.is_hole = true;
  const auto hole = std::find_if(holes.begin(), holes.end(),
                                 [&](const HoleResult& one) { return one.name == name; });
  if (hole == holes.end()) {
    end.reason = "it is not in the plan";
    return end;
  }
  end.name = named(round_word(hole->kind), name);
  end.drawn_mm = end.made_mm = hole->nominal_mm;
  end.direction = hole->axis;
  end.is_drawn = hole->nominal_diameter_mm > 0.0;
  if (!hole->offset_mm) {
    end.reason = hole->reasons.empty() ? "it was not measured" : hole->reasons.front();
    return end;
  }
  if (hole->rims == 1) {
    end.reason = "only one of its rims was seen, which does not tell where its axis runs";
    return end;
  }
  end.made_mm += *hole->offset_mm;
  end.uncertainty_mm = 2.0 * hole->standard_error_mm;
  return end;
}

/// In the design first, so that the drawn distance is known where the scan shows nothing.
End face_end(const Vector3d& at_mm, const SmoothFaces& faces, const DistanceEvidence& e) {
  End end;
  end.name = "the face at " + place_words(at_mm);
  end.drawn_mm = end.made_mm = at_mm;
  const FoundFace found = faces.at(at_mm);
  if (!found.reason.empty()) {
    end.reason = found.reason;
    return end;
  }
  if (!found.face.flat) {
    end.reason = "it is not flat in the design";
    return end;
  }
  end.drawn_mm = end.made_mm = found.face.at_mm;
  end.direction = found.face.normal;
  end.is_drawn = true;
  const MeasuredFace measured = measure_face(found.face, e.cells, e.readings, e.faces);
  end.reason = measured.reason;
  end.made_mm += measured.height_mm * end.direction;
  end.made_normal = measured.normal;
  end.uncertainty_mm = measured.height_uncertainty_mm;
  return end;
}

/// The direction that the distance of two ends is taken along in the design; nothing, with a
/// reason, when they have none.
std::optional<Vector3d> way_between(const End& from, const End& to, std::string& reason) {
  const Vector3d between = to.drawn_mm - from.drawn_mm;
  const double turn = std::abs(from.direction.dot(to.direction));
  if (from.is_hole && to.is_hole) {
    if (turn < kParallelEnds) {
      reason = "the axes of the two holes are not parallel";
      return std::nullopt;
    }
    const Vector3d across = between - from.direction.dot(between) * from.direction;
    if (across.norm() < kNoDistance_mm) reason = "both holes have the same axis in the design";
    return reason.empty() ? std::optional<Vector3d>(across.normalized()) : std::nullopt;
  }
  if (from.is_hole != to.is_hole && turn > kAcrossEnds) {
    reason = "the hole's axis is not parallel to the face";
    return std::nullopt;
  }
  if (!from.is_hole && !to.is_hole && turn < kParallelEnds) {
    reason = "the two faces are not parallel in the design";
    return std::nullopt;
  }
  const Vector3d normal = from.is_hole ? to.direction : from.direction;
  const double along = normal.dot(between);
  if (std::abs(along) < kNoDistance_mm) reason = "both ends lie at one height in the design";
  return reason.empty() ? std::optional<Vector3d>(along < 0.0 ? Vector3d(-normal) : normal)
                        : std::nullopt;
}

/// From end to end: across the axes of two holes whichever way, otherwise along the drawn way.
double distance_of(const End& from, const End& to, const Vector3d& way, bool made) {
  const Vector3d between = made ? to.made_mm - from.made_mm : to.drawn_mm - from.drawn_mm;
  if (!(from.is_hole && to.is_hole)) return way.dot(between);
  return (between - from.direction.dot(between) * from.direction).norm();
}

/// How far the ends stand beside each other, seen along what is measured; of two holes, how far
/// apart along their axes.
double beside(const End& from, const End& to, const Vector3d& way) {
  const Vector3d between = to.drawn_mm - from.drawn_mm;
  if (from.is_hole && to.is_hole) return std::abs(from.direction.dot(between));
  return (between - way.dot(between) * way).norm();
}

std::string measured_as(const End& from, const End& to, const Vector3d& way) {
  const std::string ends = "from " + from.name + " to " + to.name;
  const std::string held = beside(from, to, way) > kBeside_mm ? ", as the part is held" : "";
  if (from.is_hole && to.is_hole) return ends + ", between the axes, across them" + held;
  const std::string faces = from.is_hole || to.is_hole ? ", read at the place given on the face"
                                                       : ", read at the places given";
  return ends + faces + ", along the drawn normal " + direction_words(way) + held;
}

double expanded(const End& from, const End& to, const Vector3d& way, const DistanceEvidence& e) {
  const bool opposite = !from.is_hole && !to.is_hole && from.direction.dot(to.direction) < 0.0;
  const double common = (opposite ? 2.0 : std::sqrt(2.0)) * e.expanded_uncertainty_mm;
  const double radius_mm = 0.5 * bounding_box(e.design.mesh().vertices_mm).diagonal_mm();
  const double turned = 2.0 * e.alignment_error_mm * beside(from, to, way) / radius_mm;
  return std::hypot(std::hypot(from.uncertainty_mm, to.uncertainty_mm), common, turned);
}

/// Counted from the design's lean, 0 for parallel faces.
std::optional<double> lean_between(const End& from, const End& to) {
  if (!from.made_normal || !to.made_normal) return std::nullopt;
  const auto angle = [](const Vector3d& a, const Vector3d& b) {
    return std::atan2(a.cross(b).norm(), std::abs(a.dot(b)));
  };
  return std::abs(angle(*from.made_normal, *to.made_normal) - angle(from.direction, to.direction));
}

DistanceResult& undecided(DistanceResult& result, std::string reason) {
  result.outcome = Outcome::Undecided;
  result.reasons.push_back(std::move(reason));
  return result;
}

/// Fills the limits; false, with a reason, where the class gives none.
bool set_limits(DistanceResult& result, const DistanceCheck& check) {
  Band band{};
  if (const auto* given = std::get_if<Band>(&check.allowed)) {
    band = *given;
  } else {
    const auto& tolerance = std::get<GeneralTolerance>(check.allowed);
    result.tolerance_class = tolerance.name;
    const auto allowed = tolerance.allowed_at(*result.nominal_mm);
    if (!allowed) {
      undecided(result, tolerance.name + " gives no tolerance for " + figure(*result.nominal_mm));
      return false;
    }
    band = {*allowed, *allowed};
  }
  result.least_mm = tidied(*result.nominal_mm - band.under_mm);
  result.most_mm = tidied(*result.nominal_mm + band.over_mm);
  return true;
}

void decide_on(DistanceResult& result) {
  const double actual = *result.actual_mm, low = *result.least_mm, high = *result.most_mm;
  result.outcome = decide(actual, low, high, result.uncertainty_mm);
  result.conformity = conformance_probability(actual, low, high, 0.5 * result.uncertainty_mm);
  const bool below = actual - low < high - actual;
  const std::string limit = figure(below ? low : high, true);
  if (result.outcome == Outcome::Fail) {
    result.reasons.push_back(figure(actual) + (below ? " is less than " : " is more than ") +
                             limit);
  } else if (result.outcome == Outcome::Undecided) {
    result.reasons.push_back(figure(actual) + " is too near to the limit " + limit +
                             " to tell (uncertainty " + figure(result.uncertainty_mm) + ")");
  }
}

DistanceResult judged_distance(const DistanceCheck& check, const End& from, const End& to,
                               const DistanceEvidence& e) {
  DistanceResult result;
  result.name = check.name;
  result.from_mm = from.drawn_mm;
  result.to_mm = to.drawn_mm;
  result.nominal_mm = check.nominal_mm;
  std::string reason;
  std::optional<Vector3d> way;
  if (from.is_drawn && to.is_drawn) way = way_between(from, to, reason);
  if (way) {
    result.measured_as = measured_as(from, to, *way);
    result.drawn_mm = distance_of(from, to, *way, false);
  } else {
    result.measured_as = "from " + from.name + " to " + to.name;
  }
  for (const End* end : {&from, &to})
    if (!end->reason.empty()) undecided(result, end->name + ": " + end->reason);
  if (result.reasons.empty() && !way) undecided(result, reason);
  if (!result.drawn_mm) return result;
  if (!result.nominal_mm) result.nominal_mm = std::round(kSteps * *result.drawn_mm) / kSteps;
  const bool limited = set_limits(result, check);
  if (!from.reason.empty() || !to.reason.empty()) return result;
  result.actual_mm = distance_of(from, to, *way, true);
  result.uncertainty_mm = expanded(from, to, *way, e);
  result.lean_rad = lean_between(from, to);
  if (limited) decide_on(result);
  return result;
}

}  // namespace

std::vector<DistanceResult> judge_distances(const DistanceEvidence& e) {
  std::vector<DistanceResult> out;
  if (e.plan.distances.empty()) return out;
  const SmoothFaces faces(e.design);
  const auto end_of = [&](const DistanceEnd& end) {
    const auto* hole = std::get_if<std::string>(&end);
    return hole != nullptr ? hole_end(*hole, e.holes) : face_end(std::get<Vector3d>(end), faces, e);
  };
  for (const DistanceCheck& check : e.plan.distances)
    out.push_back(judged_distance(check, end_of(check.from), end_of(check.to), e));
  return out;
}

}  // namespace trammel
