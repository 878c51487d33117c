#pragma once

/// From core points that changed to changes: connected patches that chance does not make.

#include <functional>
#include <vector>

#include "trammel/changes/m3c2.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// z that a normal value exceeds, to either side, with probability 0.05 in `tests` independent
/// tests taken together (Bonferroni).
[[nodiscard]] double family_wise_z(double tests);

/// Three cylinders' areas, 4 mm² at least.
[[nodiscard]] double least_change_area_mm2(const ChangeScales& scales);

using CoreGroup = std::vector<Eigen::Index>;

/// Groups of core points that `is_member` and that lead to each other by pairs within `reach_mm`
/// that `are_linked`, in the order of their first point.
/// @param index  of the core points
[[nodiscard]] std::vector<CoreGroup> linked_cores(
    const CorePoints& cores, const PointIndex& index, double reach_mm,
    const std::function<bool(Eigen::Index)>& is_member,
    const std::function<bool(Eigen::Index, Eigen::Index)>& are_linked);

/// Groups of core points that `is_member` and that are neighbours on the surface, of one sign of
/// change, in the order of their first point.
/// @param index  of the core points
[[nodiscard]] std::vector<CoreGroup> groups_of_cores(
    const CorePoints& cores, const PointIndex& index, double core_mm,
    const std::function<bool(Eigen::Index)>& is_member);

/// Their area, mm².
[[nodiscard]] double area_of(const CorePoints& cores, const CoreGroup& group);

/// Where they lie, in the old frame. The centre is the core point nearest to the middle: the middle
/// of a block lies inside it.
[[nodiscard]] OpenPlace place_on_surface(const CorePoints& cores, const CoreGroup& group);

/// Groups changed core points of one sign that are neighbours on the surface. A group is a change
/// when its area reaches `least_area_mm2` and the largest of its readings, noise alone, is beyond
/// what chance makes anywhere on the surface: |change| > z_family · random + 1.96 · registration.
/// Sets `cores.change`; core points of groups that are none become Unsure.
///
/// Where the scans do not say which side is outside, what lies far behind a place that was not seen
/// again (another wall, say) reads like a change as well. So a group that lies more than two
/// cylinders off all over is one only where some core point beside it was seen again too.
/// @param sides_known  both scans tell outside from inside
/// @return  largest volume first; peak is the largest mean reading
[[nodiscard]] std::vector<Change> find_changes_among(CorePoints& cores, const ChangeScales& scales,
                                                     double least_area_mm2, bool sides_known);

/// Largest connected patch of core points in state `state` whose |change| exceeds `beyond_mm`, mm².
[[nodiscard]] double largest_patch_mm2(const CorePoints& cores, const ChangeScales& scales,
                                       CoreState state, double beyond_mm);

/// The change at a place by a paraboloid through each cloud's points within d, instead of the mean:
/// right also on a dent's rounded bottom. The plain reading where the surface is not smooth.
[[nodiscard]] double peak_by_paraboloids(const Cloud& before, const Cloud& after,
                                         const Eigen::Vector3d& core, const Eigen::Vector3d& normal,
                                         const M3c2Reading& plain, const M3c2Settings& settings);

}  // namespace trammel
