#include "trammel/square/level_plane.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "robust_rows.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr std::size_t kTried = 600;
constexpr double kAlike = 0.96;          // 16°: a small patch's normal is that rough
constexpr double kElsewhereTurn = 0.94;  // 20°
constexpr double kLeastShare = 0.05;
constexpr double kRivalShare = 0.9;
constexpr Eigen::Index kFewestPatches = 20;

double on_plane_mm(const Patches& patches) {
  return std::max(4.0 * patches.noise_mm, 5e-4 * patches.diagonal_mm);
}

bool lies_on(const Patches& patches, Eigen::Index i, const Eigen::Vector3d& normal,
             double offset_mm, double within_mm) {
  return std::abs(normal.dot(patches.points_mm.col(i)) - offset_mm) <= within_mm &&
         std::abs(normal.dot(patches.normals.col(i))) >= kAlike;
}

double share_on(const Patches& patches, const Eigen::Vector3d& normal, double offset_mm) {
  const double within_mm = on_plane_mm(patches);
  Eigen::Index count = 0;
  for (Eigen::Index i = 0; i < patches.size(); ++i)
    count += lies_on(patches, i, normal, offset_mm, within_mm) ? 1 : 0;
  return static_cast<double>(count) / static_cast<double>(patches.size());
}

/// Through the patches that lie on it, from a wide kernel to that of the residuals.
void refine_plane(FoundPlane& plane, const Patches& patches) {
  double within_mm = 2.0 * on_plane_mm(patches);
  double sigma_mm = on_plane_mm(patches) / 4.0;
  for (int round = 0; round < 15; ++round) {
    const Eigen::Vector3d u = plane.normal.unitOrthogonal(), v = plane.normal.cross(u);
    Eigen::Vector3d middle = Eigen::Vector3d::Zero();
    double count = 0.0;
    for (Eigen::Index i = 0; i < patches.size(); ++i) {
      if (!lies_on(patches, i, plane.normal, plane.offset_mm, within_mm)) continue;
      middle += patches.points_mm.col(i);
      count += 1.0;
    }
    if (count < 10.0) return;
    middle /= count;
    std::vector<square::Row> rows;
    for (Eigen::Index i = 0; i < patches.size(); ++i) {
      if (!lies_on(patches, i, plane.normal, plane.offset_mm, within_mm)) continue;
      const Eigen::Vector3d p = patches.points_mm.col(i);
      const Eigen::Vector3d d = p - middle;
      rows.push_back({{d.dot(u), d.dot(v), -1.0}, plane.normal.dot(p) - plane.offset_mm, p});
    }
    const square::Solved solved = square::solve_rows(rows, sigma_mm, patches.diagonal_mm / 12.0);
    if (solved.weight < 10.0) return;
    const Eigen::Vector3d turned =
        (plane.normal + solved.step[0] * u + solved.step[1] * v).normalized();
    plane.offset_mm =
        turned.dot(middle) + (plane.offset_mm - plane.normal.dot(middle)) + solved.step[2];
    plane.normal = turned;
    plane.rms_mm = solved.rms_mm;
    const SymmetricEigen slopes = symmetric_eigen(solved.covariance.topLeftCorner<2, 2>());
    plane.standard_error_rad = std::sqrt(std::max(0.0, slopes.values[1]));
    sigma_mm = std::max(1.2 * solved.rms_mm, 1e-7 * patches.diagonal_mm);
    within_mm = std::max(4.7 * sigma_mm, 1e-6 * patches.diagonal_mm);
  }
}

void point_to_the_rest(FoundPlane& plane, const Patches& patches) {
  double balance = 0.0;
  for (Eigen::Index i = 0; i < patches.size(); ++i)
    balance += plane.normal.dot(patches.points_mm.col(i)) - plane.offset_mm;
  if (balance >= 0.0) return;
  plane.normal = -plane.normal;
  plane.offset_mm = -plane.offset_mm;
}

FoundPlane through(const Patches& patches, Eigen::Index i) {
  FoundPlane plane;
  plane.normal = patches.normals.col(i);
  plane.offset_mm = plane.normal.dot(patches.points_mm.col(i));
  return plane;
}

/// Among planes through random patches the one with most on it, and the share of the best other.
FoundPlane largest_plane(const Patches& patches, Rng& rng) {
  std::vector<FoundPlane> tried;
  for (std::size_t i = 0; i < kTried; ++i)
    tried.push_back(through(
        patches, static_cast<Eigen::Index>(rng.index(static_cast<std::size_t>(patches.size())))));
  for_each_index(
      tried.size(),
      [&](std::size_t i) {
        tried[i].share = share_on(patches, tried[i].normal, tried[i].offset_mm);
      },
      8);
  FoundPlane best =
      *std::max_element(tried.begin(), tried.end(),
                        [](const FoundPlane& a, const FoundPlane& b) { return a.share < b.share; });
  for (const FoundPlane& other : tried)
    if (std::abs(other.normal.dot(best.normal)) < kElsewhereTurn)
      best.rival = std::max(best.rival, other.share);
  best.from = "largest flat face";
  return best;
}

FoundPlane picked_plane(const Patches& patches, const Eigen::Vector3d& picked_mm) {
  Eigen::Index nearest = 0;
  (patches.points_mm.colwise() - picked_mm).colwise().squaredNorm().minCoeff(&nearest);
  FoundPlane plane = through(patches, nearest);
  plane.from = "picked face";
  return plane;
}

}  // namespace

bool lies_on(const FoundPlane& plane, const Patches& patches, Eigen::Index patch) {
  return lies_on(patches, patch, plane.normal, plane.offset_mm, on_plane_mm(patches));
}

FoundPlane level_plane(const Patches& patches, const std::optional<Eigen::Vector3d>& picked_mm,
                       Rng rng) {
  FoundPlane plane;
  if (patches.size() < kFewestPatches) {
    plane.doubt = "the scan has too few flat places";
    return plane;
  }
  plane = picked_mm ? picked_plane(patches, *picked_mm) : largest_plane(patches, rng);
  refine_plane(plane, patches);
  plane.share = share_on(patches, plane.normal, plane.offset_mm);
  point_to_the_rest(plane, patches);
  const double patches_on = plane.share * static_cast<double>(patches.size());
  if (picked_mm) {
    if (patches_on < static_cast<double>(kFewestPatches))
      plane.doubt = "there is no flat face at the picked place";
  } else if (plane.share < kLeastShare) {
    plane.doubt = "no flat face holds a twentieth of the surface";
  } else if (plane.rival > kRivalShare * plane.share) {
    plane.doubt = "two flat faces are about as large, so it is not known which shall lie level";
  }
  plane.found = plane.doubt.empty();
  return plane;
}

}  // namespace trammel
