#include "trammel/model/plan.hpp"

namespace trammel {

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

std::string datum_fit_name(DatumFit fit) {
  return fit == DatumFit::Outer ? "outer" : "least-squares";
}

bool Zone::holds(const Eigen::Vector3d& p_design) const {
  if (const auto* box = std::get_if<BoxShape>(&shape)) {
    return (p_design.array() >= box->low_mm.array()).all() &&
           (p_design.array() <= box->high_mm.array()).all();
  }
  const auto& sphere = std::get<SphereShape>(shape);
  return (p_design - sphere.center_mm).norm() <= sphere.radius_mm;
}

BandAt band_at(const Plan& plan, const Eigen::Vector3d& p_design) {
  for (auto zone = plan.zones.rbegin(); zone != plan.zones.rend(); ++zone) {
    if (zone->holds(p_design)) return {zone->band, &*zone};
  }
  return {plan.band, nullptr};
}

}  // namespace trammel
