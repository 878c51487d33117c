#include "trammel/square/patches.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

Patches patches_of(const Eigen::Matrix3Xd& points_mm, const PointIndex& index, Eigen::Index count) {
  constexpr int kNeighbours = 16;
  constexpr double kPlane = 0.1;  // spread across over the lesser one along: more is an edge
  const Eigen::Index taken = std::min(count, points_mm.cols());
  Patches out;
  out.diagonal_mm = bounding_box(points_mm).diagonal_mm();
  out.points_mm.resize(3, taken);
  out.normals.resize(3, taken);
  std::vector<double> across(static_cast<std::size_t>(taken), -1.0);
  for_each_index(
      across.size(),
      [&](std::size_t i) {
        const auto slot = static_cast<Eigen::Index>(i);
        const Eigen::Vector3d at = points_mm.col(slot * points_mm.cols() / taken);
        const auto near = index.nearest(at, kNeighbours);
        if (near.size() < 6) return;
        const auto [mean, eigen] = plane_through(points_mm, near);
        if (!(eigen.values[0] < kPlane * eigen.values[1])) return;
        out.normals.col(slot) = eigen.vectors.col(0);
        out.points_mm.col(slot) = at - out.normals.col(slot) * out.normals.col(slot).dot(at - mean);
        across[i] =
            std::sqrt(std::max(0.0, eigen.values[0]) / static_cast<double>(near.size() - 3));
      },
      256);
  std::vector<Eigen::Index> kept;
  std::vector<double> noise;
  for (std::size_t i = 0; i < across.size(); ++i) {
    if (across[i] < 0.0) continue;
    kept.push_back(static_cast<Eigen::Index>(i));
    noise.push_back(across[i]);
  }
  out.points_mm = Eigen::Matrix3Xd(out.points_mm(Eigen::all, kept));
  out.normals = Eigen::Matrix3Xd(out.normals(Eigen::all, kept));
  out.noise_mm = noise.empty() ? 0.0 : median_of(noise);
  return out;
}

}  // namespace trammel
