#pragma once

/// Places on the part that keep it from passing, though no reading there is proven out: it takes a
/// pose to name them.

#include <Eigen/Core>
#include <cstdint>
#include <string>
#include <vector>

#include "trammel/judge/judge.hpp"
#include "trammel/judge/surface_out_of_place.hpp"

namespace trammel {

using Reasons = std::vector<std::string>;

inline void append(Reasons& to, const Reasons& from) {
  to.insert(to.end(), from.begin(), from.end());
}

/// What may be a clamp: jaws on both faces of a wall, then what stands on one of them.
/// @param points_mm  3 × #P scan points, design frame
[[nodiscard]] Reasons things_on_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm);

/// Of the placed scan.
/// @param points_mm  3 × #P scan points, design frame
[[nodiscard]] InMaterial inside_material(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                                         const Verdict& verdict);

/// Holes and slots that are closed, walls that could be missing or have a hole, and scanned surface
/// where the design has none.
/// @param points_mm       3 × #P scan points, design frame
/// @param region_of_cell  #C, id or 0
[[nodiscard]] Reasons open_places(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                                  const InMaterial& material, const Verdict& verdict,
                                  const Eigen::VectorXi& region_of_cell);

/// Cracks and slits too narrow to leave a bare place. Asked only of a part that nothing else speaks
/// against: a face that is off its place has points in the material too.
[[nodiscard]] Reasons slits_in_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                                    const InMaterial& material, const Verdict& verdict);

/// So many strays, and so few points of the part, that a defect of the least area does not stand
/// out. Asked likewise.
[[nodiscard]] Reasons hidden_by_strays(const Evidence& e, const InMaterial& material);

/// Things too thin for their feet to be told by `things_on_part`. Asked likewise.
[[nodiscard]] Reasons rods_on_part(const Evidence& e, const Eigen::Matrix3Xd& points_mm,
                                   const InMaterial& material, const Verdict& verdict);

}  // namespace trammel
