#include "trammel/model/general_tolerance.hpp"

namespace trammel {

std::optional<double> GeneralTolerance::allowed_at(double size_mm) const {
  if (!(size_mm >= least_mm)) return std::nullopt;
  for (const Step& step : steps)
    if (size_mm <= step.up_to_mm) return step.allowed;
  return std::nullopt;
}

}  // namespace trammel
