#include "study/flaw_naming.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace trammel::test {
namespace {

using Eigen::Vector3d;

bool first_is(const Verdict& verdict, FlawKind kind) {
  return !verdict.flaws.empty() && verdict.flaws.front().kind == kind;
}

bool shrink_named(const PlantedPart& part, const Verdict& verdict) {
  if (!first_is(verdict, FlawKind::Shrink)) return false;
  const Vector3d off = verdict.flaws.front().scale - Vector3d::Ones();
  for (int k = 0; k < 3; ++k) {
    const bool should = part.axis < 0 || part.axis == k;
    if ((off[k] != 0.0) != should || off[k] * part.size_mm < 0.0) return false;
  }
  return true;
}

bool local_named(const PlantedPart& part, const Verdict& verdict, FlawKind kind) {
  return first_is(verdict, kind) &&
         (verdict.flaws.front().center_mm - part.at_mm).norm() < part.radius_mm + 2.0;
}

/// One of the places "(x, y, z)" in the words lies within the radius of the planted one.
bool speaks_of(const std::string& words, const PlantedPart& part, double radius_mm) {
  for (std::size_t at = words.find('('); at != std::string::npos; at = words.find('(', at + 1)) {
    double x = 0.0, y = 0.0, z = 0.0;
    if (std::sscanf(words.c_str() + at, "(%lf, %lf, %lf)", &x, &y, &z) != 3) continue;
    if ((Vector3d(x, y, z) - part.at_mm).norm() < radius_mm) return true;
  }
  return false;
}

bool place_named(const PlantedPart& part, const Verdict& verdict) {
  const double height_mm = part.kind == PlantedKind::MissingFoot ? 25.0 : 5.0;
  return std::any_of(verdict.reasons.begin(), verdict.reasons.end(),
                     [&](const std::string& reason) {
                       return speaks_of(reason, part, part.radius_mm + height_mm);
                     });
}

bool hole_named(const PlantedPart& part, const Verdict& verdict) {
  constexpr double kFits_mm = 0.15;
  const auto drawn = part.recipe.holes[static_cast<std::size_t>(part.hole)];
  const auto fits = [&](const auto& hole) {
    if (part.kind == PlantedKind::HoleSize) {
      return hole.diameter_mm &&
             std::abs(*hole.diameter_mm - part.made_hole.diameter_mm) < kFits_mm;
    }
    const double off_mm = (part.made_hole.at_mm - drawn.at_mm).norm();
    return hole.offset_mm && std::abs(hole.offset_mm->norm() - off_mm) < kFits_mm;
  };
  const double reach = part.recipe.thickness_mm + part.recipe.floor_mm + 1.0;
  for (const OtherHole& hole : verdict.other_holes) {
    if ((hole.center_mm - part.at_mm).norm() > reach) continue;
    if (part.kind == PlantedKind::MissingHole) return hole.state == HoleState::Closed;
    return fits(hole);
  }
  for (const HoleResult& hole : verdict.holes) {
    if ((hole.nominal_mm - part.at_mm).norm() > reach) continue;
    if (part.kind == PlantedKind::MissingHole) {
      return hole.state == HoleState::Closed;
    }
    return fits(hole);
  }
  return false;
}

}  // namespace

bool is_named(const PlantedPart& part, const Verdict& verdict) {
  switch (part.kind) {
    case PlantedKind::None: return verdict.flaws.empty();
    case PlantedKind::Shrink:
    case PlantedKind::ShrinkAlong: return shrink_named(part, verdict);
    case PlantedKind::Bow: return first_is(verdict, FlawKind::Bow);
    case PlantedKind::Twist: return first_is(verdict, FlawKind::Twist);
    case PlantedKind::Lean: return first_is(verdict, FlawKind::Lean);
    case PlantedKind::Offset: return first_is(verdict, FlawKind::Offset);
    case PlantedKind::Dent: return local_named(part, verdict, FlawKind::Dent);
    case PlantedKind::Blob: return local_named(part, verdict, FlawKind::Blob);
    case PlantedKind::Corner: return local_named(part, verdict, FlawKind::Corner);
    case PlantedKind::ExtraHole:
    case PlantedKind::MissingFoot: return place_named(part, verdict);
    default: return hole_named(part, verdict);
  }
}

}  // namespace trammel::test
