#include "trammel/changes/change_regions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

constexpr double kNeighbourReach = 2.0;  // of the cores' distance
constexpr double kSameSurface = 0.5;     // cosine between neighbours' normals

using Group = CoreGroup;

bool beyond_chance(const CorePoints& cores, Eigen::Index at, double z) {
  // detectable = 1.96 · (random + registration)
  const double limit = cores.detectable_mm[at] + (z - kNormal95) * cores.random_mm[at];
  return std::abs(cores.change_mm[at]) > limit;
}

/// Near its old place somewhere, or beside a core point that was seen again.
bool is_traced(const CorePoints& cores, const ChangeScales& scales, const PointIndex& index,
               const Group& group) {
  const double far_mm = 2.0 * scales.cylinder_mm;
  const auto is_member = [&](Eigen::Index at) {
    return std::binary_search(group.begin(), group.end(), at);
  };
  return std::any_of(group.begin(), group.end(), [&](Eigen::Index at) {
    if (std::abs(cores.change_mm[at]) <= far_mm) return true;
    const auto beside = index.within(cores.points_mm.col(at), kNeighbourReach * scales.core_mm);
    return std::any_of(beside.begin(), beside.end(), [&](const Neighbour& other) {
      const auto at_other = static_cast<std::size_t>(other.index);
      return cores.state[at_other] != CoreState::OnlyOld && !is_member(other.index);
    });
  });
}

Change change_of(const CorePoints& cores, const Group& group) {
  Change change;
  change.kind = cores.change_mm[group.front()] > 0.0 ? RegionKind::Proud : RegionKind::Shy;
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Eigen::Index at : group) {
    const double area = cores.area_mm2[at];
    change.area_mm2 += area;
    change.volume_mm3 += area * cores.change_mm[at];
    middle += area * cores.points_mm.col(at);
    if (std::abs(cores.change_mm[at]) > std::abs(change.peak_mm)) {
      change.peak_mm = cores.change_mm[at];
      change.detectable_mm = cores.detectable_mm[at];
    }
  }
  change.mean_mm = change.area_mm2 > 0.0 ? change.volume_mm3 / change.area_mm2 : change.peak_mm;
  if (change.area_mm2 > 0.0) middle /= change.area_mm2;
  // On the surface: the core point nearest to the middle.
  const Eigen::Index nearest =
      *std::min_element(group.begin(), group.end(), [&](Eigen::Index a, Eigen::Index b) {
        return (cores.points_mm.col(a) - middle).squaredNorm() <
               (cores.points_mm.col(b) - middle).squaredNorm();
      });
  change.center_mm = cores.points_mm.col(nearest);
  change.normal = cores.normals.col(nearest);
  return change;
}

struct Paraboloid {
  double height_mm = 0.0;  ///< at the core point
  double spread_mm = 0.0;  ///< 1 σ of the points about it
};

/// Through the points near `at_mm` along the normal; nothing with too few of them.
std::optional<Paraboloid> paraboloid_at(const Cloud& cloud, const Eigen::Vector3d& core,
                                        const Eigen::Vector3d& normal, double at_mm,
                                        const M3c2Settings& settings) {
  constexpr std::size_t kFewest = 18;  // three a coefficient
  const double radius = settings.cylinder_mm;
  const Eigen::Vector3d u = normal.unitOrthogonal(), v = normal.cross(u);
  std::vector<std::array<double, 3>> local;
  for (const Neighbour& n : cloud.index.within(core + at_mm * normal, radius)) {
    const Eigen::Vector3d d = cloud.points_mm.col(n.index) - core;
    if (cloud.normals.cols() > 0 && std::abs(cloud.normals.col(n.index).dot(normal)) < 0.5)
      continue;
    local.push_back({d.dot(u) / radius, d.dot(v) / radius, d.dot(normal)});
  }
  if (local.size() < kFewest) return std::nullopt;
  Eigen::MatrixXd rows(static_cast<Eigen::Index>(local.size()), 6);
  Eigen::VectorXd heights(rows.rows());
  for (std::size_t i = 0; i < local.size(); ++i) {
    const auto [x, y, z] = local[i];
    rows.row(static_cast<Eigen::Index>(i)) << 1.0, x, y, x * x, x * y, y * y;
    heights[static_cast<Eigen::Index>(i)] = z;
  }
  const auto fit = least_squares(rows, heights);
  if (!fit) return std::nullopt;
  const double squares = (heights - rows * *fit).squaredNorm();
  return Paraboloid{(*fit)[0], std::sqrt(squares / static_cast<double>(rows.rows() - 6))};
}

}  // namespace

std::vector<CoreGroup> linked_cores(
    const CorePoints& cores, const PointIndex& index, double reach_mm,
    const std::function<bool(Eigen::Index)>& is_member,
    const std::function<bool(Eigen::Index, Eigen::Index)>& are_linked) {
  std::vector<std::uint8_t> done(static_cast<std::size_t>(cores.size()), 0);
  std::vector<CoreGroup> groups;
  for (Eigen::Index seed = 0; seed < cores.size(); ++seed) {
    if (done[static_cast<std::size_t>(seed)] != 0 || !is_member(seed)) continue;
    CoreGroup group{seed};
    done[static_cast<std::size_t>(seed)] = 1;
    for (std::size_t next = 0; next < group.size(); ++next) {
      const Eigen::Index at = group[next];
      for (const Neighbour& n : index.within(cores.points_mm.col(at), reach_mm)) {
        const auto other = static_cast<std::size_t>(n.index);
        if (done[other] != 0 || !is_member(n.index) || !are_linked(at, n.index)) continue;
        done[other] = 1;
        group.push_back(n.index);
      }
    }
    groups.push_back(std::move(group));
  }
  return groups;
}

std::vector<CoreGroup> groups_of_cores(const CorePoints& cores, const PointIndex& index,
                                       double core_mm,
                                       const std::function<bool(Eigen::Index)>& is_member) {
  return linked_cores(cores, index, kNeighbourReach * core_mm, is_member,
                      [&](Eigen::Index a, Eigen::Index b) {
                        return (cores.change_mm[a] > 0.0) == (cores.change_mm[b] > 0.0) &&
                               cores.normals.col(a).dot(cores.normals.col(b)) >= kSameSurface;
                      });
}

double area_of(const CorePoints& cores, const CoreGroup& group) {
  double area = 0.0;
  for (const Eigen::Index at : group)
    area += cores.area_mm2[at];
  return area;
}

OpenPlace place_on_surface(const CorePoints& cores, const CoreGroup& group) {
  Eigen::Vector3d middle = Eigen::Vector3d::Zero();
  for (const Eigen::Index at : group)
    middle += cores.points_mm.col(at) / static_cast<double>(group.size());
  const auto off = [&](Eigen::Index at) {
    return (cores.points_mm.col(at) - middle).squaredNorm();
  };
  const Eigen::Index nearest = *std::min_element(
      group.begin(), group.end(), [&](Eigen::Index a, Eigen::Index b) { return off(a) < off(b); });
  return {true, area_of(cores, group), cores.points_mm.col(nearest), cores.normals.col(nearest)};
}

double family_wise_z(double tests) {
  // erfc(z / √2) = p by halving: the tail falls strictly.
  const double p = 0.05 / std::max(1.0, tests);
  double low = 0.0, high = 40.0;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (std::erfc(middle / std::sqrt(2.0)) > p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

double least_change_area_mm2(const ChangeScales& scales) {
  return std::max(4.0, 3.0 * 0.25 * kPi * scales.cylinder_mm * scales.cylinder_mm);
}

std::vector<Change> find_changes_among(CorePoints& cores, const ChangeScales& scales,
                                       double least_area_mm2, bool sides_known) {
  const PointIndex index(cores.points_mm);
  const double cylinder_mm2 = 0.25 * kPi * scales.cylinder_mm * scales.cylinder_mm;
  const double z = family_wise_z(cores.area_mm2.sum() / cylinder_mm2);
  struct Found {
    Change change;
    Group group;
  };
  std::vector<Found> found;
  const auto changed = [&](Eigen::Index at) {
    return cores.state[static_cast<std::size_t>(at)] == CoreState::Changed;
  };
  for (Group& group : groups_of_cores(cores, index, scales.core_mm, changed)) {
    const bool sure = std::any_of(group.begin(), group.end(),
                                  [&](Eigen::Index at) { return beyond_chance(cores, at, z); });
    std::sort(group.begin(), group.end());
    const bool traced = sides_known || is_traced(cores, scales, index, group);
    if (sure && traced && area_of(cores, group) >= least_area_mm2) {
      found.push_back({change_of(cores, group), std::move(group)});
    } else {
      for (const Eigen::Index at : group)
        cores.state[static_cast<std::size_t>(at)] = CoreState::Unsure;
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const Found& a, const Found& b) {
    return std::abs(a.change.volume_mm3) > std::abs(b.change.volume_mm3);
  });
  std::vector<Change> changes;
  for (Found& one : found) {
    one.change.id = static_cast<int>(changes.size()) + 1;
    for (const Eigen::Index at : one.group)
      cores.change[static_cast<std::size_t>(at)] = one.change.id;
    changes.push_back(one.change);
  }
  return changes;
}

double largest_patch_mm2(const CorePoints& cores, const ChangeScales& scales, CoreState state,
                         double beyond_mm) {
  double largest = 0.0;
  const auto is_member = [&](Eigen::Index at) {
    return cores.state[static_cast<std::size_t>(at)] == state &&
           std::abs(cores.change_mm[at]) > beyond_mm;
  };
  for (const Group& group :
       groups_of_cores(cores, PointIndex(cores.points_mm), scales.core_mm, is_member))
    largest = std::max(largest, area_of(cores, group));
  return largest;
}

double peak_by_paraboloids(const Cloud& before, const Cloud& after, const Eigen::Vector3d& core,
                           const Eigen::Vector3d& normal, const M3c2Reading& plain,
                           const M3c2Settings& settings) {
  const auto was = paraboloid_at(before, core, normal, plain.before.mean_mm, settings);
  const auto is = paraboloid_at(after, core, normal, plain.after.mean_mm, settings);
  // Twice as rough as the plain cylinder: an edge, on which a paraboloid swings.
  const auto smooth = [](const Paraboloid& fit, const CylinderMean& mean) {
    return fit.spread_mm <= 1.3 * mean.spread_mm;
  };
  if (!was || !is || !smooth(*was, plain.before) || !smooth(*is, plain.after))
    return plain.change_mm;
  return is->height_mm - was->height_mm;
}

}  // namespace trammel
