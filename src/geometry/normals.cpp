#include "trammel/geometry/normals.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <vector>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

/// Neighbours nearly in a line (this much narrower than long, in squares) span no plane.
constexpr double kLine = 0.1;
constexpr int kMostNeighbours = 120;

using Spread = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>;

/// Principal directions of the neighbours' covariance, least spread first. The closed-form solver
/// is enough: on a surface the smallest eigenvalue stands apart.
Spread spread_of(const Eigen::Matrix3Xd& points_mm, const std::vector<Neighbour>& neighbours) {
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  for (const Neighbour& n : neighbours)
    mean += points_mm.col(n.index);
  mean /= static_cast<double>(neighbours.size());
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  for (const Neighbour& n : neighbours) {
    const Eigen::Vector3d d = points_mm.col(n.index) - mean;
    covariance += d * d.transpose();
  }
  Spread out;
  out.computeDirect(covariance);
  return out;
}

/// A scanner's rows may lie farther apart than its points do along a row: then the nearest points
/// are all of one row, and more of them are asked.
Spread spread_around(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                     const Eigen::Vector3d& at, const std::vector<Neighbour>& nearest,
                     int neighbours) {
  Spread spread = spread_of(points_mm, nearest);
  for (int more = 3 * neighbours; more <= kMostNeighbours; more *= 3) {
    if (spread.eigenvalues()[1] > kLine * spread.eigenvalues()[2]) break;
    spread = spread_of(points_mm, index.nearest(at, more));
  }
  return spread;
}

}  // namespace

LocalPlane plane_through(const Eigen::Matrix3Xd& points_mm,
                         const std::vector<Neighbour>& neighbours) {
  LocalPlane out{Eigen::Vector3d::Zero(), {}};
  for (const Neighbour& n : neighbours)
    out.mean_mm += points_mm.col(n.index) / static_cast<double>(neighbours.size());
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const Neighbour& n : neighbours) {
    const Eigen::Vector3d d = points_mm.col(n.index) - out.mean_mm;
    spread += d * d.transpose();
  }
  out.spread = symmetric_eigen_3(spread);
  return out;
}

double height_on_mean_normal(const Eigen::Vector3d& step_mm, const Eigen::Vector3d& from,
                             const Eigen::Vector3d& to) {
  const Eigen::Vector3d sum = from + (from.dot(to) < 0.0 ? -1.0 : 1.0) * to;
  return sum.normalized().dot(step_mm);
}

EstimatedNormals estimate_normals(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                                  int neighbours, int kept) {
  EstimatedNormals out;
  out.normals.resize(3, points_mm.cols());
  out.unevenness.resize(points_mm.cols());
  if (kept > 0) out.nearest.setConstant(kept, points_mm.cols(), -1);
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto at = static_cast<Eigen::Index>(i);
    const std::vector<Neighbour> nearest = index.nearest(points_mm.col(at), neighbours);
    const auto found = static_cast<Eigen::Index>(nearest.size());
    for (Eigen::Index k = 0; k < std::min(found, out.nearest.rows()); ++k)
      out.nearest(k, at) = nearest[static_cast<std::size_t>(k)].index;
    const Spread spread = spread_around(points_mm, index, points_mm.col(at), nearest, neighbours);
    out.normals.col(at) = spread.eigenvectors().col(0).normalized();
    const double across = spread.eigenvalues()[1];
    out.unevenness[at] = across > 0.0 ? std::max(0.0, spread.eigenvalues()[0]) / across : 1.0;
  });
  return out;
}

}  // namespace trammel
