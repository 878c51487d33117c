#include "trammel/judge/describe_flaw.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A bend is named where it is so large beside the lean or level that comes with it, and a lean
/// where its ends differ by so much beside their level.
constexpr double kBeside = 0.4;
/// Of the far end's figure: the near end counts as where the lean begins.
constexpr double kHinge = 0.25;

std::string mm(double value) {
  return fixed(std::abs(value), 2) + " mm";
}

std::string degrees(double angle_rad) {
  return fixed(std::abs(angle_rad) / kDegree, 2) + "°";
}

std::string subject(const Flaw& flaw, const FlatFace& face) {
  const std::string what = flaw.of_wall ? "The wall at " : "The face at ";
  return what + place_words(face.center_mm) + " that looks " + direction_words(face.normal);
}

/// The way the surface went where the figure was read.
std::string went(const Flaw& flaw) {
  return direction_words(flaw.figure_mm < 0.0 ? Vector3d(-flaw.normal) : flaw.normal);
}

std::string way_back(const Flaw& flaw) {
  return direction_words(flaw.figure_mm < 0.0 ? flaw.normal : Vector3d(-flaw.normal));
}

/// Unknowns of a face's form with names; u and v run from −1 to 1.
struct Form {
  double level = 0.0, along_u = 0.0, along_v = 0.0, twist = 0.0, bow_u = 0.0, bow_v = 0.0;
  [[nodiscard]] double lean() const { return std::abs(along_u) + std::abs(along_v); }
  [[nodiscard]] double bend() const { return std::abs(twist) + std::abs(bow_u) + std::abs(bow_v); }
  /// Mean over the box.
  [[nodiscard]] double mean() const { return level + (bow_u + bow_v) / 3.0; }
  [[nodiscard]] double plane_at(double u, double v) const {
    return level + along_u * u + along_v * v;
  }
};

Form form_of(const ExplainedFlaw& explained) {
  const auto& x = explained.unknowns;
  Form form;
  form.level = x[0];
  if (explained.shape.kind == FlawKind::Offset) return form;
  form.along_u = x[1];
  form.along_v = x[2];
  Eigen::Index next = 3;
  if (explained.shape.kind == FlawKind::Twist) form.twist = x[next];
  if (explained.shape.bow_u) form.bow_u = x[next++];
  if (explained.shape.bow_v) form.bow_v = x[next];
  return form;
}

FlawKind kind_of(const ExplainedFlaw& explained, const Form& form, double matters_mm) {
  FlawKind kind = explained.shape.kind;
  const bool bent = kind == FlawKind::Bow || kind == FlawKind::Twist;
  const double beside = kBeside * std::max(form.lean(), std::abs(form.mean()));
  if (bent && form.bend() < std::max(beside, matters_mm)) kind = FlawKind::Lean;
  // Whatever hardly turns between its ends only stands off its place.
  const double turns = std::max(kBeside * std::abs(form.mean()), matters_mm);
  if (kind == FlawKind::Lean && 2.0 * form.lean() < turns) kind = FlawKind::Offset;
  return kind;
}

Vector3d place_on(const FlatFace& face, double u, double v) {
  return face.center_mm + u * face.half_u_mm * face.u + v * face.half_v_mm * face.v;
}

/// Where on the face's box a lean is felt most: an end, or a corner where it leans both ways.
std::array<double, 2> leaning_end(const Form& form) {
  double u = form.along_u < 0.0 ? -1.0 : 1.0, v = form.along_v < 0.0 ? -1.0 : 1.0;
  if (std::abs(form.along_u) > 2.0 * std::abs(form.along_v)) v = 0.0;
  if (std::abs(form.along_v) > 2.0 * std::abs(form.along_u)) u = 0.0;
  if (std::abs(form.plane_at(u, v)) >= std::abs(form.plane_at(-u, -v))) return {u, v};
  return {-u, -v};
}

void tell_offset(Flaw& flaw, const FlatFace& face, const Form& form) {
  flaw.figure_mm = form.level;
  flaw.center_mm = face.center_mm;
  const bool proud = form.level > 0.0;
  if (flaw.of_wall) {
    flaw.words = subject(flaw, face) + " stands " + mm(form.level) + " too far towards " +
                 went(flaw) + ", all over alike";
    flaw.action = "Move the wall at " + place_words(face.center_mm) + " back " + mm(form.level) +
                  " towards " + way_back(flaw);
    return;
  }
  flaw.words = subject(flaw, face) + " is " + (proud ? "proud" : "shy") + " by " + mm(form.level) +
               " all over: the material is too " + (proud ? "thick" : "thin") + " there";
  flaw.action = (proud ? "Take " : "Build up ") + mm(form.level) +
                (proud ? " off the face at " : " on the face at ") + place_words(face.center_mm);
}

void tell_lean(Flaw& flaw, const FlatFace& face, const Form& form) {
  const auto [u, v] = leaning_end(form);
  const Vector3d end = place_on(face, u, v), other = place_on(face, -u, -v);
  const double at_other = form.plane_at(-u, -v);
  flaw.figure_mm = form.plane_at(u, v);
  flaw.center_mm = end;
  flaw.angle_rad =
      std::atan(std::hypot(form.along_u / face.half_u_mm, form.along_v / face.half_v_mm));
  const bool hinged = std::abs(at_other) < kHinge * std::abs(flaw.figure_mm);
  flaw.words = subject(flaw, face) + (flaw.of_wall ? " leans " : " slopes ") +
               degrees(flaw.angle_rad) + ": " + mm(flaw.figure_mm) + " towards " + went(flaw) +
               " at its end near " + place_words(end);
  if (hinged) {
    flaw.words += ", about its edge near " + place_words(other);
  } else {
    const Vector3d away = at_other < 0.0 ? Vector3d(-face.normal) : face.normal;
    flaw.words += ", and " + mm(at_other) + " towards " + direction_words(away) +
                  " at the one near " + place_words(other);
  }
  if (flaw.of_wall) {
    flaw.action = "Bend the wall back " + mm(flaw.figure_mm) + " towards " + way_back(flaw) +
                  " at its end near " + place_words(end);
  } else {
    flaw.action = (flaw.figure_mm > 0.0 ? "Take off " : "Build up ") + mm(flaw.figure_mm) +
                  " near " + place_words(end) + ", less towards " + place_words(other);
  }
}

void tell_bow(Flaw& flaw, const FlatFace& face, const Form& form) {
  const bool along_u = std::abs(form.bow_u) >= std::abs(form.bow_v);
  flaw.figure_mm = -(along_u ? form.bow_u : form.bow_v);  // the middle against its ends
  flaw.center_mm = face.center_mm;
  const double length = 2.0 * (along_u ? face.half_u_mm : face.half_v_mm);
  flaw.words = subject(flaw, face) + " is bowed: its middle stands " + mm(flaw.figure_mm) +
               " towards " + went(flaw) + " of its ends, over " + fixed(length, 0) + " mm along " +
               direction_words(along_u ? face.u : face.v);
  if (flaw.of_wall) {
    flaw.action = "Straighten the wall at " + place_words(face.center_mm) + ": press its middle " +
                  mm(flaw.figure_mm) + " towards " + way_back(flaw) + " against its ends";
  } else {
    flaw.action = "Level the face at " + place_words(face.center_mm) + ": " +
                  (flaw.figure_mm > 0.0 ? "take up to " : "fill up to ") + mm(flaw.figure_mm) +
                  (flaw.figure_mm > 0.0 ? " off its middle" : " in its middle");
  }
}

void tell_twist(Flaw& flaw, const FlatFace& face, const Form& form) {
  flaw.figure_mm = form.twist;
  flaw.center_mm = place_on(face, 1.0, 1.0);
  // From end to end along u the slope along v goes from −twist to +twist over half a side.
  flaw.angle_rad = 2.0 * std::atan(std::abs(form.twist) / face.half_v_mm);
  flaw.words = subject(flaw, face) + " is twisted by " + degrees(flaw.angle_rad) +
               " from end to end: its corners stand " + mm(flaw.figure_mm) +
               " off the flat, towards " + went(flaw) + " near " + place_words(flaw.center_mm) +
               " and " + place_words(place_on(face, -1.0, -1.0));
  flaw.action = flaw.of_wall ? "Turn the ends of the wall at " + place_words(face.center_mm) +
                                   " back by " + degrees(flaw.angle_rad) + " against each other"
                             : "Level the face at " + place_words(face.center_mm) +
                                   ": its corners are " + mm(flaw.figure_mm) + " off, crosswise";
}

std::string percent_off(double factor) {
  return fixed(100.0 * std::abs(factor - 1.0), 2) + " %";
}

std::string small_or_large(double factor) {
  return factor < 1.0 ? "too small" : "too large";
}

/// Of the axes that have a factor of their own, those along which it matters.
std::vector<int> axes_that_matter(const ExplainedFlaw& explained, const Vector3d& size_mm,
                                  double matters_mm) {
  std::vector<int> out;
  const auto& axes = explained.shape.axes;
  for (std::size_t k = 0; k < axes.size(); ++k) {
    const double grown = explained.unknowns[static_cast<Eigen::Index>(k)] * size_mm[axes[k]];
    if (std::abs(grown) >= matters_mm) out.push_back(axes[k]);
  }
  return out.empty() ? axes : out;
}

/// The growth of all axes together, as a share: their own where there is one, else the mean by size
/// where no axis grew otherwise by as much as matters.
std::optional<double> overall_growth(const ExplainedFlaw& explained, const Vector3d& size_mm,
                                     double matters_mm) {
  if (explained.shape.axes.empty()) return explained.unknowns[0];
  if (explained.shape.axes.size() < 3) return std::nullopt;
  Vector3d growth;
  for (Eigen::Index k = 0; k < 3; ++k)
    growth[explained.shape.axes[static_cast<std::size_t>(k)]] = explained.unknowns[k];
  const double mean = growth.dot(size_mm.cwiseAbs2()) / size_mm.squaredNorm();
  const Vector3d off_mm = (growth.array() - mean).matrix().cwiseProduct(size_mm);
  if (off_mm.cwiseAbs().maxCoeff() >= matters_mm) return std::nullopt;
  return mean;
}

void tell_shrink(Flaw& flaw, const ExplainedFlaw& explained, const Vector3d& size_mm,
                 double matters_mm) {
  const std::optional<double> overall = overall_growth(explained, size_mm, matters_mm);
  const std::vector<int> axes =
      overall ? std::vector<int>{} : axes_that_matter(explained, size_mm, matters_mm);
  flaw.scale_error = explained.errors.maxCoeff();
  const auto& fitted = explained.shape.axes;
  if (overall) flaw.scale.setConstant(1.0 + *overall);
  for (const int axis : axes) {
    const auto k = std::find(fitted.begin(), fitted.end(), axis) - fitted.begin();
    flaw.scale[axis] = 1.0 + explained.unknowns[k];
  }
  const Vector3d grown = (flaw.scale - Vector3d::Ones()).cwiseProduct(size_mm);
  Eigen::Index worst = 0;
  grown.cwiseAbs().maxCoeff(&worst);
  flaw.figure_mm = grown[worst];
  const std::string error = " ± " + fixed(200.0 * flaw.scale_error, 2) + " %";
  if (axes.empty()) {
    flaw.words = "The part is " + percent_off(flaw.scale[0]) + error + " " +
                 small_or_large(flaw.scale[0]) + " overall: " + mm(flaw.figure_mm) + " over its " +
                 fixed(size_mm[worst], 0) + " mm";
    flaw.action = "If it was printed, print it again at " + fixed(100.0 / flaw.scale[0], 2) + " %";
    return;
  }
  flaw.action = "If it was printed, print it again at ";
  for (const int axis : axes) {
    const std::string name(1, static_cast<char>('X' + axis));
    const bool first = flaw.words.empty();
    flaw.words += (first ? "The part is " : ", ") + percent_off(flaw.scale[axis]) + " " +
                  small_or_large(flaw.scale[axis]) + " along " + name + " (" + mm(grown[axis]) +
                  " over " + fixed(size_mm[axis], 0) + " mm)";
    flaw.action += (first ? "" : ", ") + fixed(100.0 / flaw.scale[axis], 2) + " % along " + name;
  }
}

void tell_skin(Flaw& flaw, double level_mm) {
  flaw.figure_mm = level_mm;
  const bool proud = level_mm > 0.0;
  flaw.words = "Every face is " + std::string(proud ? "proud" : "shy") + " by about " +
               mm(level_mm) + ", holes and all";
  flaw.action = proud ? "Look for what lies on it all over: paint, spray, lines laid too wide"
                      : "Look for what is missing all over: lines laid too thin, a wide cut";
}

void tell_corner(Flaw& flaw) {
  flaw.words = "The corner at " + place_words(flaw.center_mm) + " of the wall that looks " +
               direction_words(flaw.normal) + " is bent " + mm(flaw.figure_mm) + " towards " +
               went(flaw);
  flaw.action = "Bend the corner at " + place_words(flaw.center_mm) + " back " +
                mm(flaw.figure_mm) + " towards " + way_back(flaw);
}

void tell_pressed(Flaw& flaw, double area_mm2) {
  flaw.words = "The wall at " + place_words(flaw.center_mm) + " that looks " +
               direction_words(flaw.normal) + " is pressed " + mm(flaw.figure_mm) + " towards " +
               went(flaw) + " there, over " + fixed(area_mm2, 0) + " mm²";
  flaw.action = "Press the wall at " + place_words(flaw.center_mm) + " back " + mm(flaw.figure_mm) +
                " towards " + way_back(flaw);
}

}  // namespace

Flaw described_flaw(const ExplainedFlaw& explained, const std::vector<FlatFace>& faces,
                    const Box& part, double matters_mm) {
  Flaw flaw;
  flaw.kind = explained.shape.kind;
  flaw.center_mm = part.center_mm();
  if (flaw.kind == FlawKind::Shrink) {
    tell_shrink(flaw, explained, part.size_mm(), matters_mm);
    return flaw;
  }
  if (flaw.kind == FlawKind::Skin) {
    tell_skin(flaw, explained.unknowns[0]);
    return flaw;
  }
  const FlatFace& face = faces[static_cast<std::size_t>(explained.shape.face)];
  Form form = form_of(explained);
  flaw.of_wall = explained.shape.back >= 0;
  flaw.normal = face.normal;
  flaw.kind = kind_of(explained, form, matters_mm);
  if (flaw.kind != FlawKind::Bow) form.level = form.mean();
  switch (flaw.kind) {
    case FlawKind::Offset: tell_offset(flaw, face, form); break;
    case FlawKind::Lean: tell_lean(flaw, face, form); break;
    case FlawKind::Bow: tell_bow(flaw, face, form); break;
    default: tell_twist(flaw, face, form); break;
  }
  return flaw;
}

Flaw described_flaw(const LocalFlaw& local) {
  Flaw flaw = local.flaw;
  if (flaw.kind == FlawKind::Corner) {
    tell_corner(flaw);
    return flaw;
  }
  if (flaw.of_wall) {
    tell_pressed(flaw, local.area_mm2);
    return flaw;
  }
  const bool dent = flaw.kind == FlawKind::Dent;
  const std::string size = mm(flaw.figure_mm) + (dent ? " deep" : " high");
  flaw.words = std::string(dent ? "A dent" : "A blob") + " " + size + ", " +
               fixed(local.area_mm2, 0) + " mm², at " + place_words(flaw.center_mm) +
               " on the face that looks " + direction_words(flaw.normal);
  flaw.action = dent ? "Fill the dent of " + mm(flaw.figure_mm) + " at " +
                           place_words(flaw.center_mm) + ", or knock it out from behind"
                     : "Take the blob of " + mm(flaw.figure_mm) + " at " +
                           place_words(flaw.center_mm) + " off: file or scrape it level";
  return flaw;
}

}  // namespace trammel
