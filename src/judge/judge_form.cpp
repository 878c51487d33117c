#include "trammel/judge/judge_form.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <utility>
#include <variant>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/judge/face_form.hpp"
#include "trammel/judge/measure_wall.hpp"
#include "trammel/judge/surface_there.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const double kMostFromDrawn_rad = 10.0 * kDegree;
constexpr double kUnlimited = std::numeric_limits<double>::infinity();
constexpr double kSteps_mm = 1000.0, kSteps_deg = 1000.0;  // a nominal of the design is rounded

void open_form(FormResult& result, std::string reason) {
  result.outcome = Outcome::Undecided;
  result.reasons.push_back(std::move(reason));
}

/// A face of the plan, in the design and as measured.
struct PlanFace {
  SmoothFace face;
  CellValues values;
  FaceSight sight;
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

/// Where one claim has been measured: is it proven, and was enough seen to say so?
void decide_form(FormResult& result, const std::string& not_all_seen) {
  if (!result.reasons.empty() || !result.most) return;
  const double actual = *result.actual, high = *result.most;
  const double low = result.least.value_or(-kUnlimited);
  result.outcome = decide(actual, low, high, result.uncertainty);
  const bool below = actual - low < high - actual;
  const std::string limit = form_limit(below ? low : high, result.kind);
  const std::string value = form_figure(actual, result.kind, result.uncertainty);
  if (result.outcome == Outcome::Fail) {
    result.reasons.push_back(value + (below ? " is less than " : " is more than ") + limit);
  } else if (result.outcome == Outcome::Undecided) {
    result.reasons.push_back(
        value + " is too near to the limit " + limit + " to tell (uncertainty " +
        form_figure(result.uncertainty, result.kind, result.uncertainty) + ")");
  } else if (!not_all_seen.empty()) {
    open_form(result, "as far as it was seen it is within, but " + not_all_seen);
    return;
  }
  result.conformity = conformance_probability(actual, low, high, 0.5 * result.uncertainty);
}

class FormJudge {
 public:
  FormJudge(const FormEvidence& e, const SmoothFaces& faces)
      : e_(e),
        mesh_(e.design.mesh()),
        U_(e.expanded_uncertainty_mm),
        faces_(faces),
        readings_(of_surface_there(e.cells, e.readings, e.faces.pooled_mm)),
        points_(points_in_cells(e.readings)) {}

  FormResult judged(const FormCheck& check) {
    FormResult result;
    result.name = check.name;
    result.kind = check.kind;
    result.at_mm = check.at_mm;
    result.other_mm = check.other_mm;
    const PlanFace face = face_at(check.at_mm, check.kind == FormKind::Angle);
    switch (check.kind) {
      case FormKind::Flatness: judge_flatness(result, check, face); break;
      case FormKind::Parallelism:
      case FormKind::Perpendicularity: judge_to_datum(result, check, face); break;
      case FormKind::Angle: judge_angle(result, check, face); break;
      case FormKind::Thickness: judge_thickness(result, check, face); break;
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
    out.values =
        values_of(without_edges(cells_of_face(out.face, e_.cells), e_.cells, e_.faces.pooled_mm),
                  readings_, points_);
    out.sight = sight_of(out.values, e_.cells);
    if (!as_plane) return out;
    out.plane = measure_face(out.face, e_.cells, readings_, e_.faces);
    out.reason = out.plane.reason;
    if (out.reason.empty() && !out.plane.normal)
      out.reason = "it is too small or narrow to tell how it leans";
    return out;
  }

  /// False, with a reason, where something is wrong with the face.
  static bool usable(FormResult& result, const PlanFace& face) {
    if (!face.reason.empty()) open_form(result, face.name + ": " + face.reason);
    return face.reason.empty();
  }

  [[nodiscard]] std::string not_all_seen(const PlanFace& face) const {
    const std::string why = why_not_all_seen(face.sight, e_.plan.least_area_mm2);
    return why.empty() ? why : "of " + face.name + " " + why;
  }

  /// The form of a face; false, with a reason, where it could not be measured.
  bool measure_form(FormResult& result, const PlanFace& face, FaceForm& form) const {
    form = face_form(face.values, face.face.normal, e_.cells, e_.noise_mm, e_.faces);
    if (form.reason.empty() && !tells_its_lean(form, face.face.normal))
      form.reason = "it is too narrow to be measured";
    if (form.reason.empty()) return true;
    open_form(result, face.name + ": " + form.reason);
    return false;
  }

  static std::string blocks_words(const FaceForm& form) {
    return std::to_string(form.place_mm.cols()) + " readings, each the mean over " +
           fixed(form.side_mm, 1) + " mm";
  }

  /// What a zone may be wide, or a size or angle off; nothing, with a reason, where a class gives
  /// none for the size.
  static std::optional<double> of_class(FormResult& result, const FormCheck& check,
                                        double size_mm) {
    const auto& tolerance = std::get<GeneralTolerance>(check.allowed);
    result.tolerance_class = tolerance.name;
    const auto allowed = tolerance.allowed_at(size_mm);
    if (!allowed)
      open_form(result, tolerance.name + " gives no tolerance for " + fixed(size_mm, 1) + " mm");
    return allowed;
  }

  static void set_zone(FormResult& result, const FormCheck& check, double size_mm) {
    const double* width = std::get_if<double>(&check.allowed);
    result.most = width != nullptr ? *width : of_class(result, check, size_mm);
  }

  /// Reach of a face across the line where it would meet another.
  [[nodiscard]] double leg_mm(const PlanFace& face, const PlanFace& other) const {
    const Vector3d edge = face.face.normal.cross(other.face.normal).normalized();
    return extent_along_mm(mesh_, face.face, face.face.normal.cross(edge));
  }

  void judge_flatness(FormResult& result, const FormCheck& check, const PlanFace& face) const {
    result.measured_as = "flatness of " + face.name;
    if (!usable(result, face)) return;
    set_zone(result, check, sides_of(mesh_, face.face).longer_mm);
    FaceForm form;
    if (!measure_form(result, face, form)) return;
    result.measured_as += ", minimum zone of " + blocks_words(form);
    result.actual = flatness_mm(form, face.face.normal);
    result.uncertainty = std::hypot(2.0 * form.noise_reach_mm, std::sqrt(2.0) * U_);
    decide_form(result, not_all_seen(face));
  }

  /// False, with a reason, where the design's faces do not stand as the check has them.
  static bool stand_as_asked(FormResult& result, const PlanFace& face, const PlanFace& datum) {
    const double turn = angle_between(face.face.normal, datum.face.normal);
    const bool parallel = result.kind == FormKind::Parallelism;
    const double off = parallel ? std::min(turn, kPi - turn) : std::abs(turn - 0.5 * kPi);
    if (off > kDegree)
      open_form(result, std::string("the two faces are not ") + (parallel ? "parallel" : "square") +
                            " in the design");
    return off <= kDegree;
  }

  void judge_to_datum(FormResult& result, const FormCheck& check, const PlanFace& face) const {
    const PlanFace datum = face_at(*check.other_mm, true);
    result.measured_as = form_name(result.kind) + " of " + face.name + " to " + datum.name;
    if (face.is_drawn() && datum.is_drawn()) {
      if (!stand_as_asked(result, face, datum)) return;
      set_zone(result, check,
               result.kind == FormKind::Parallelism
                   ? sides_of(mesh_, face.face).longer_mm
                   : std::min(leg_mm(face, datum), leg_mm(datum, face)));
    }
    const bool both = usable(result, face) & usable(result, datum);  // a reason for each
    FaceForm form;
    if (!both || !measure_form(result, face, form)) return;
    result.measured_as +=
        ", zone of " + blocks_words(form) + ", to the datum's least-squares plane";
    result.actual = result.kind == FormKind::Parallelism
                        ? range_along_mm(form, face.face.normal, *datum.plane.normal)
                        : range_square_to_mm(form, face.face.normal, *datum.plane.normal);
    result.uncertainty = std::hypot(std::hypot(2.0 * form.noise_reach_mm, std::sqrt(2.0) * U_),
                                    of_datum(result.kind, face, datum));
    const std::string why = not_all_seen(face);
    decide_form(result, why.empty() ? not_all_seen(datum) : why);
  }

  /// What the datum's own uncertainty makes at the ends of the face.
  [[nodiscard]] double of_datum(FormKind kind, const PlanFace& face, const PlanFace& datum) const {
    if (kind == FormKind::Perpendicularity)
      return tilt_uncertainty(datum.plane, face.face.normal, U_) *
             extent_along_mm(mesh_, face.face, datum.face.normal);
    double square = 0.0;
    for (const Vector3d& axis : datum.plane.axes)
      square += std::pow(
          tilt_uncertainty(datum.plane, axis, U_) * extent_along_mm(mesh_, face.face, axis), 2);
    return std::sqrt(square);
  }

  void judge_angle(FormResult& result, const FormCheck& check, const PlanFace& from) const {
    const PlanFace to = face_at(*check.other_mm, true);
    result.measured_as =
        "angle between " + from.name + " and " + to.name + ", of their least-squares planes";
    result.nominal = check.nominal;
    if (from.is_drawn() && to.is_drawn()) {
      const double drawn = kPi - angle_between(from.face.normal, to.face.normal);
      if (std::min(drawn, kPi - drawn) < kDegree) {
        open_form(result, "the two faces are parallel in the design");
        return;
      }
      set_angle_limits(result, check, from, to, drawn);
    }
    const bool both = usable(result, from) & usable(result, to);
    if (!both) return;
    measure_angle(result, from, to);
    const std::string why = not_all_seen(from);
    decide_form(result, why.empty() ? not_all_seen(to) : why);
  }

  /// Whether the drawing's angle is the one left to 180°.
  static bool is_other_side(const FormResult& result, double drawn) {
    return std::abs(*result.nominal - (kPi - drawn)) < std::abs(*result.nominal - drawn);
  }

  void set_angle_limits(FormResult& result, const FormCheck& check, const PlanFace& from,
                        const PlanFace& to, double drawn) const {
    if (!result.nominal)
      result.nominal = kDegree * std::round(kSteps_deg * drawn / kDegree) / kSteps_deg;
    const double of_drawing = is_other_side(result, drawn) ? kPi - drawn : drawn;
    if (std::abs(*result.nominal - of_drawing) > kMostFromDrawn_rad) {
      open_form(result, "the design has " + form_limit(drawn, FormKind::Angle) + " there");
      return;
    }
    AngleBand band;
    if (const auto* given = std::get_if<AngleBand>(&check.allowed)) {
      band = *given;
    } else {
      const auto allowed = of_class(result, check, std::min(leg_mm(from, to), leg_mm(to, from)));
      if (!allowed) return;
      band = {*allowed, *allowed};
    }
    result.least = *result.nominal - band.under_rad;
    result.most = *result.nominal + band.over_rad;
  }

  void measure_angle(FormResult& result, const PlanFace& from, const PlanFace& to) const {
    const double drawn = kPi - angle_between(from.face.normal, to.face.normal);
    const double made = kPi - angle_between(*from.plane.normal, *to.plane.normal);
    result.actual = is_other_side(result, drawn) ? kPi - made : made;
    const Vector3d edge = from.face.normal.cross(to.face.normal).normalized();
    const auto sure_to = [&](const PlanFace& face) {
      return tilt_uncertainty(face.plane, face.face.normal.cross(edge), U_);
    };
    result.uncertainty = std::hypot(sure_to(from), sure_to(to));
  }

  void judge_thickness(FormResult& result, const FormCheck& check, const PlanFace& face) {
    result.measured_as = "thickness of the wall behind " + face.name;
    result.nominal = check.nominal;
    if (!usable(result, face)) return;
    if (!rays_) rays_ = rays_of(e_.cells);
    const DrawnWall wall = find_wall(face.face, faces_, e_.cells, *rays_, e_.faces.pooled_mm);
    if (!wall.reason.empty()) {
      open_form(result, face.name + ": " + wall.reason);
      return;
    }
    if (!result.nominal) result.nominal = std::round(kSteps_mm * wall.thickness_mm) / kSteps_mm;
    set_thickness_limits(result, check);
    const FaceForm form = face_form(wall_values(wall, e_.cells, readings_, points_),
                                    face.face.normal, e_.cells, e_.noise_mm, e_.faces);
    if (!form.reason.empty()) {
      open_form(result, "of the wall's two sides together: " + form.reason);
      return;
    }
    if (!(form.value_mm.minCoeff() > 0.0)) {
      open_form(result, "its two sides cannot be told apart in the scan");
      return;
    }
    result.measured_as += ", " + blocks_words(form) + ", on both sides";
    take_extremes(result, form);
    result.uncertainty = std::hypot(form.noise_reach_mm, 2.0 * U_);
    const std::string why = why_not_all_seen(form.sight, e_.plan.least_area_mm2);
    decide_form(result, why.empty() ? why : "of the wall's two sides together " + why);
  }

  static void set_thickness_limits(FormResult& result, const FormCheck& check) {
    Band band{};
    if (const auto* given = std::get_if<Band>(&check.allowed)) {
      band = *given;
    } else {
      const auto allowed = of_class(result, check, *result.nominal);
      if (!allowed) return;
      band = {*allowed, *allowed};
    }
    result.least = *result.nominal - band.under_mm;
    result.most = *result.nominal + band.over_mm;
  }

  /// The thinnest and the thickest place, and of the two the one with less room to its limit.
  static void take_extremes(FormResult& result, const FaceForm& form) {
    result.lowest = form.value_mm.minCoeff();
    result.highest = form.value_mm.maxCoeff();
    const double low = result.least.value_or(*result.nominal);
    const double high = result.most.value_or(*result.nominal);
    result.actual = *result.lowest - low < high - *result.highest ? result.lowest : result.highest;
  }

  const FormEvidence& e_;
  const Mesh& mesh_;
  const double U_;
  const SmoothFaces& faces_;
  const CellReadings readings_;              ///< of surface that is there
  const Eigen::VectorXd points_;             ///< in each cell
  std::shared_ptr<const SurfaceRays> rays_;  ///< asked for by the first wall
};

}  // namespace

std::vector<FormResult> judge_forms(const FormEvidence& e) {
  std::vector<FormResult> out;
  if (e.plan.forms.empty()) return out;
  const SmoothFaces faces(e.design);
  FormJudge judge(e, faces);
  for (const FormCheck& check : e.plan.forms)
    out.push_back(judge.judged(check));
  return out;
}

}  // namespace trammel
