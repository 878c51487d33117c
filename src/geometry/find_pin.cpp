#include "trammel/geometry/find_pin.hpp"

namespace trammel {

std::optional<DesignHole> find_pin(const Mesh& design, const Eigen::Vector3d& at_mm,
                                   const FindHoleSettings& settings) {
  Mesh inside_out = design;
  inside_out.triangles.row(1) = design.triangles.row(2);
  inside_out.triangles.row(2) = design.triangles.row(1);
  auto found = find_hole(inside_out, at_mm, settings);
  if (found) found->kind = RoundKind::Pin;
  return found;
}

}  // namespace trammel
