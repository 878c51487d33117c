#include "trammel/judge/judge_form.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <variant>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/judge/face_form.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const double kOneDegree = kPi / 180.0;
const double kMostFromDrawn_rad = 10.0 * kPi / 180.0;
constexpr double kNone = std::numeric_limits<double>::infinity();

double deg(double radians) {
  return radians / kOneDegree;
}

double angle_of(const Vector3d& a, const Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// "0.123 mm", or of an angle "0.25°".
std::string figure_of(double value, FormKind kind) {
  return kind == FormKind::Angle ? fixed(deg(value), 2) + "°" : fixed(value, 3) + " mm";
}

FormResult& undecided_form(FormResult& result, std::string reason) {
  result.outcome = Outcome::Undecided;
  result.reasons.push_back(std::move(reason));
  return result;
}

/// A face of the plan, in the design and as measured.
struct PlanFace {
  SmoothFace face;
  MeasuredFace plane;
  std::string name, reason;  ///< `reason`: why it cannot be used; empty when it can
  [[nodiscard]] bool is_drawn() const { return face.area_mm2 > 0.0; }
};

/// 95 % of the tilt of a measured plane towards a direction in it, U of one reading included.
double tilt_uncertainty(const MeasuredFace& plane, const Vector3d& towards, double expanded_mm) {
  double square = 0.0;
  for (std::size_t k = 0; k < 2; ++k) {
    const double common = std::sqrt(2.0) * expanded_mm / plane.reach_mm[k];
    square += std::pow(plane.axes[k].dot(towards), 2) *
              (std::pow(plane.slope_uncertainty[k], 2) + common * common);
  }
  return std::sqrt(square);
}

class FormJudge {
 public:
  FormJudge(const FormEvidence& e, const SmoothFaces& faces) : e_(e), faces_(faces) {}

  FormResult judged(const FormCheck& check) const {
    FormResult result;
    result.name = check.name;
    result.kind = check.kind;
    result.at_mm = check.at_mm;
    result.other_mm = check.other_mm;
    const PlanFace face = face_at(check.at_mm, check.kind == FormKind::Angle);
    switch (check.kind) {
      case FormKind::Flatness: judge_flatness(result, check, face); break;
      case FormKind::Parallelism: judge_parallelism(result, check, face); break;
      case FormKind::Angle: judge_angle(result, check, face); break;
    }
    return result;
  }

 private:
  [[nodiscard]] PlanFace face_at(const Vector3d& at_mm, bool as_plane) const {
    PlanFace out;
    out.name = "the face at " + place_words(at_mm);
    const FoundFace found = faces_.at(at_mm);
    out.reason = found.reason;
    if (out.reason.empty() && !found.face.flat) out.reason = "it is not flat in the design";
    if (!out.reason.empty()) return out;
    out.face = found.face;
    if (!as_plane) return out;
    out.plane = measure_face(out.face, e_.cells, e_.readings, e_.faces);
    out.reason = out.plane.reason;
    if (out.reason.empty() && !out.plane.normal)
      out.reason = "it is too small or narrow to tell how it leans";
    return out;
  }

  [[nodiscard]] FaceForm form_of(const PlanFace& face) const {
    return face_form(face.face, e_.cells, e_.readings, e_.noise_mm, e_.faces);
  }

  /// False, with a reason, where something is wrong with the face.
  static bool usable(FormResult& result, const PlanFace& face) {
    if (!face.reason.empty()) undecided_form(result, face.name + ": " + face.reason);
    return face.reason.empty();
  }

  /// What the class or the figure allows; nothing, with a reason, where a class gives none.
  static std::optional<double> allowed_for(FormResult& result, const FormCheck& check,
                                           double size_mm) {
    if (const double* width = std::get_if<double>(&check.allowed)) return *width;
    const auto& tolerance = std::get<GeneralTolerance>(check.allowed);
    result.tolerance_class = tolerance.name;
    const auto allowed = tolerance.allowed_at(size_mm);
    if (!allowed)
      undecided_form(result,
                     tolerance.name + " gives no tolerance for " + fixed(size_mm, 1) + " mm");
    return allowed;
  }

  void judge_flatness(FormResult& result, const FormCheck& check, const PlanFace& face) const {
    result.measured_as = "flatness of " + face.name;
    if (!usable(result, face)) return;
    result.most = allowed_for(result, check, sides_of(e_.design.mesh(), face.face).longer_mm);
    const FaceForm form = form_of(face);
    if (!form.reason.empty()) {
      undecided_form(result, face.name + ": " + form.reason);
      return;
    }
    result.measured_as += ", minimum zone of " + std::to_string(form.place_mm.cols()) +
                          " readings, each the mean over " + fixed(form.side_mm, 1) + " mm";
    result.actual = flatness_mm(form, face.face.normal);
    result.uncertainty =
        std::hypot(form.noise_width_mm(), std::sqrt(2.0) * e_.expanded_uncertainty_mm);
    decide_on(result);
  }

  void judge_parallelism(FormResult& result, const FormCheck& check, const PlanFace& face) const {
    const PlanFace datum = face_at(*check.other_mm, true);
    result.measured_as = "parallelism of " + face.name + " to " + datum.name;
    if (!usable(result, face)) return;
    result.most = allowed_for(result, check, sides_of(e_.design.mesh(), face.face).longer_mm);
    if (datum.is_drawn()) {
      const double turn = angle_of(face.face.normal, datum.face.normal);
      if (std::min(turn, kPi - turn) > kOneDegree)
        undecided_form(result, "the two faces are not parallel in the design");
    }
    const FaceForm form = form_of(face);
    if (!form.reason.empty()) undecided_form(result, face.name + ": " + form.reason);
    if (!usable(result, datum) || !form.reason.empty()) return;
    result.measured_as += ", zone parallel to the datum's least-squares plane";
    result.actual = range_along_mm(form, *datum.plane.normal);
    double square =
        std::pow(form.noise_width_mm(), 2) + 2.0 * std::pow(e_.expanded_uncertainty_mm, 2);
    for (const Vector3d& axis : datum.plane.axes)
      square += std::pow(tilt_uncertainty(datum.plane, axis, e_.expanded_uncertainty_mm) *
                             extent_along_mm(e_.design.mesh(), face.face, axis),
                         2);
    result.uncertainty = std::sqrt(square);
    decide_on(result);
  }

  void judge_angle(FormResult& result, const FormCheck& check, const PlanFace& from) const {
    const PlanFace to = face_at(*check.other_mm, true);
    result.measured_as = "angle between " + from.name + " and " + to.name;
    result.nominal = check.nominal_rad;
    if (from.is_drawn() && to.is_drawn()) {
      const double drawn = kPi - angle_of(from.face.normal, to.face.normal);
      if (std::min(drawn, kPi - drawn) < kOneDegree) {
        undecided_form(result, "the two faces are parallel in the design");
        return;
      }
      set_angle_limits(result, check, from, to, drawn);
    }
    const bool both = usable(result, from) & usable(result, to);  // a reason for each
    if (!both) return;
    measure_angle(result, from, to);
    decide_on(result);
  }

  /// Whether the drawing's angle is the one left to 180°.
  static bool is_other_side(const FormResult& result, double drawn) {
    return std::abs(*result.nominal - (kPi - drawn)) < std::abs(*result.nominal - drawn);
  }

  void set_angle_limits(FormResult& result, const FormCheck& check, const PlanFace& from,
                        const PlanFace& to, double drawn) const {
    if (!result.nominal) result.nominal = kOneDegree * 1e-3 * std::round(1e3 * deg(drawn));
    const double of_drawing = is_other_side(result, drawn) ? kPi - drawn : drawn;
    if (std::abs(*result.nominal - of_drawing) > kMostFromDrawn_rad) {
      undecided_form(result, "the design has " + figure_of(drawn, FormKind::Angle) + " there");
      return;
    }
    AngleBand band;
    if (const auto* given = std::get_if<AngleBand>(&check.allowed)) {
      band = *given;
    } else {
      const Vector3d edge = from.face.normal.cross(to.face.normal).normalized();
      const auto leg = [&](const PlanFace& face) {
        return extent_along_mm(e_.design.mesh(), face.face, face.face.normal.cross(edge));
      };
      const auto allowed = allowed_for(result, check, std::min(leg(from), leg(to)));
      if (!allowed) return;
      band = {*allowed, *allowed};
    }
    result.least = *result.nominal - band.under_rad;
    result.most = *result.nominal + band.over_rad;
  }

  void measure_angle(FormResult& result, const PlanFace& from, const PlanFace& to) const {
    const double drawn = kPi - angle_of(from.face.normal, to.face.normal);
    const double made = kPi - angle_of(*from.plane.normal, *to.plane.normal);
    result.actual = is_other_side(result, drawn) ? kPi - made : made;
    const Vector3d edge = from.face.normal.cross(to.face.normal).normalized();
    const auto sure_to = [&](const PlanFace& face) {
      return tilt_uncertainty(face.plane, face.face.normal.cross(edge), e_.expanded_uncertainty_mm);
    };
    result.uncertainty = std::hypot(sure_to(from), sure_to(to));
  }

  static void decide_on(FormResult& result) {
    if (!result.reasons.empty() || !result.most) return;
    const double actual = *result.actual, high = *result.most, low = result.least.value_or(-kNone);
    result.outcome = decide(actual, low, high, result.uncertainty);
    result.conformity = conformance_probability(actual, low, high, 0.5 * result.uncertainty);
    const bool below = actual - low < high - actual;
    const std::string limit = figure_of(below ? low : high, result.kind);
    const std::string value = figure_of(actual, result.kind);
    if (result.outcome == Outcome::Fail) {
      result.reasons.push_back(value + (below ? " is less than " : " is more than ") + limit);
    } else if (result.outcome == Outcome::Undecided) {
      result.reasons.push_back(value + " is too near to the limit " + limit +
                               " to tell (uncertainty " +
                               figure_of(result.uncertainty, result.kind) + ")");
    }
  }

  const FormEvidence& e_;
  const SmoothFaces& faces_;
};

}  // namespace

std::vector<FormResult> judge_forms(const FormEvidence& e) {
  std::vector<FormResult> out;
  if (e.plan.forms.empty()) return out;
  const SmoothFaces faces(e.design);
  const FormJudge judge(e, faces);
  for (const FormCheck& check : e.plan.forms)
    out.push_back(judge.judged(check));
  return out;
}

}  // namespace trammel
