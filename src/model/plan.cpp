#include "trammel/model/plan.hpp"

namespace trammel {
namespace {

bool lies_in(const CylinderShape& cylinder, const Eigen::Vector3d& p) {
  const Eigen::Vector3d axis = cylinder.to_mm - cylinder.from_mm, arm = p - cylinder.from_mm;
  const double share = arm.dot(axis) / axis.squaredNorm();  // 0 at one end, 1 at the other
  return share >= 0.0 && share <= 1.0 && (arm - share * axis).norm() <= cylinder.radius_mm;
}

}  // namespace

double mm_per_unit(Unit unit) {
  switch (unit) {
    case Unit::Cm: return 10.0;
    case Unit::M: return 1000.0;
    case Unit::Inch: return 25.4;
    case Unit::Auto:
    case Unit::Mm: return 1.0;
  }
  return 1.0;
}

std::string unit_name(Unit unit) {
  switch (unit) {
    case Unit::Auto: return "auto";
    case Unit::Mm: return "mm";
    case Unit::Cm: return "cm";
    case Unit::M: return "m";
    case Unit::Inch: return "in";
  }
  return "auto";
}

std::string method_name(AlignMethod method) {
  switch (method) {
    case AlignMethod::BestFit: return "best-fit";
    case AlignMethod::Datums: return "datums";
    case AlignMethod::Pairs: return "pairs";
    case AlignMethod::AsScanned: return "as-scanned";
  }
  return "best-fit";
}

bool is_place_given(AlignMethod method) {
  return method == AlignMethod::AsScanned || method == AlignMethod::Pairs;
}

std::string datum_fit_name(DatumFit fit) {
  return fit == DatumFit::Outer ? "outer" : "least-squares";
}

std::string form_name(FormKind kind) {
  switch (kind) {
    case FormKind::Flatness: return "flatness";
    case FormKind::Parallelism: return "parallelism";
    case FormKind::Perpendicularity: return "perpendicularity";
    case FormKind::Angle: return "angle";
    case FormKind::Thickness: return "thickness";
  }
  return "flatness";
}

bool Zone::holds(const Eigen::Vector3d& p_design) const {
  if (const auto* box = std::get_if<BoxShape>(&shape)) {
    return (p_design.array() >= box->low_mm.array()).all() &&
           (p_design.array() <= box->high_mm.array()).all();
  }
  if (const auto* sphere = std::get_if<SphereShape>(&shape))
    return (p_design - sphere->center_mm).norm() <= sphere->radius_mm;
  if (const auto* cylinder = std::get_if<CylinderShape>(&shape))
    return lies_in(*cylinder, p_design);
  const auto& face = std::get<FaceShape>(shape);
  return face.holds && face.holds(p_design);
}

const HoleCheck* check_of(const Plan& plan, const std::string& hole_name) {
  for (const HoleCheck& check : plan.holes)
    if (check.name == hole_name) return &check;
  return nullptr;
}

const SlotCheck* slot_check_of(const Plan& plan, const std::string& slot_name) {
  for (const SlotCheck& check : plan.slots)
    if (check.name == slot_name) return &check;
  return nullptr;
}

std::vector<const HoleCheck*> bolted_holes(const Plan& plan, const std::string& group) {
  std::vector<const HoleCheck*> out;
  for (const HoleCheck& hole : plan.holes)
    if (hole.bolt_mm && hole.group == group) out.push_back(&hole);
  return out;
}

const MateCheck* mate_of(const Plan& plan, const std::string& group) {
  for (const MateCheck& mate : plan.mates)
    if (mate.group == group) return &mate;
  return nullptr;
}

BandAt band_at(const Plan& plan, const Eigen::Vector3d& p_design) {
  for (auto zone = plan.zones.rbegin(); zone != plan.zones.rend(); ++zone) {
    if (zone->holds(p_design)) return {zone->band, &*zone};
  }
  return {plan.band, nullptr};
}

}  // namespace trammel
