#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/geometry/slivers.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

constexpr double kStepsAcross = 300.0;
constexpr double kMostPointsMade = 2e6;
constexpr double kLonger = 1.0 + 1e-9;
/// Lower triangles have no normal but rounding; as in geometry/mend.hpp.
constexpr double kNoHeight = 1e-7;

/// A triangle from its longest side `from`–`to` up to `apex`; cut into rows of points.
struct Rows {
  Eigen::Vector3d from, to, apex;
  double base_mm, height_mm;

  Rows(const Mesh& mesh, int t) {
    int longest = 0;
    const auto corner = [&](int k) -> Eigen::Vector3d {
      return mesh.vertices_mm.col(mesh.triangles(k % 3, t));
    };
    for (int k = 1; k < 3; ++k) {
      // Of sides that are as long as each other, but for rounding, the first.
      if ((corner(k + 1) - corner(k)).norm() >
          kLonger * (corner(longest + 1) - corner(longest)).norm())
        longest = k;
    }
    from = corner(longest);
    to = corner(longest + 1);
    apex = corner(longest + 2);
    base_mm = (to - from).norm();
    height_mm = trammel::height_mm(mesh, t);
  }

  [[nodiscard]] int count(double step_mm) const {
    return std::max(1, static_cast<int>(std::ceil(height_mm / step_mm)));
  }
  /// How far up the middle of a row lies, as a share of the height.
  [[nodiscard]] static double share(int row, int rows) { return (row + 0.5) / rows; }
  [[nodiscard]] int points_in(int row, int rows, double step_mm) const {
    return std::max(1, static_cast<int>(std::ceil((1.0 - share(row, rows)) * base_mm / step_mm)));
  }
};

/// Points that one triangle gives.
std::size_t point_count(const Mesh& mesh, int t, double step_mm, double least_height_mm) {
  const Rows rows(mesh, t);
  if (rows.height_mm <= least_height_mm) return 0;
  if (rows.base_mm <= step_mm) return 1;
  std::size_t points = 0;
  const int count = rows.count(step_mm);
  for (int row = 0; row < count; ++row)
    points += static_cast<std::size_t>(rows.points_in(row, count, step_mm));
  return points;
}

void place_points(const Mesh& mesh, int t, double step_mm, Eigen::Index first, Scan& scan) {
  const Rows rows(mesh, t);
  const Eigen::Vector3d normal = area_vector(mesh, t).normalized();
  Eigen::Index next = first;
  const auto place = [&](const Eigen::Vector3d& point) {
    scan.points_mm.col(next) = point;
    scan.normals.col(next++) = normal;
  };
  if (rows.base_mm <= step_mm) {
    place((rows.from + rows.to + rows.apex) / 3.0);
    return;
  }
  const int count = rows.count(step_mm);
  for (int row = 0; row < count; ++row) {
    const double up = Rows::share(row, count);
    const Eigen::Vector3d begin = rows.from + up * (rows.apex - rows.from);
    const Eigen::Vector3d end = rows.to + up * (rows.apex - rows.to);
    const int points = rows.points_in(row, count, step_mm);
    for (int i = 0; i < points; ++i)
      place(begin + (i + 0.5) / points * (end - begin));
  }
}

/// Where the points of each triangle begin; #F + 1.
std::vector<Eigen::Index> point_starts(const Mesh& mesh, double step_mm, double least_height_mm) {
  const auto count = static_cast<std::size_t>(mesh.triangles.cols());
  std::vector<Eigen::Index> start(count + 1, 0);
  for_each_index(count, [&](std::size_t t) {
    start[t + 1] =
        static_cast<Eigen::Index>(point_count(mesh, static_cast<int>(t), step_mm, least_height_mm));
  });
  std::partial_sum(start.begin(), start.end(), start.begin());
  return start;
}

/// Twice the way from the mean to the farthest point: the diagonal of a box, whichever way it lies.
double across(const Eigen::Matrix3Xd& points) {
  if (points.cols() == 0) return 0.0;
  const Eigen::Vector3d mean = points.rowwise().mean();
  return 2.0 * (points.colwise() - mean).colwise().norm().maxCoeff();
}

}  // namespace

RawScan scan_from_mesh(RawGeometry mesh, const std::string& name) {
  RawScan result;
  result.file = name;
  result.scan.name = name;
  result.scan.from_mesh = true;
  FiniteMesh finite = finite_mesh(std::move(mesh), name);
  if (finite.dropped > 0) {
    result.notes.push_back(grouped(static_cast<long long>(finite.dropped)) +
                           " triangles with a corner that is not finite were left out");
  }
  const MendedMesh mended = mend(finite.mesh);
  result.notes.insert(result.notes.end(), mended.health.repairs.begin(),
                      mended.health.repairs.end());

  const double across_mm = across(mended.mesh.vertices_mm);
  const double least_height_mm = kNoHeight * across_mm;
  const auto triangles = static_cast<double>(mended.mesh.triangles.cols());
  double step_mm = across_mm / kStepsAcross;
  std::vector<Eigen::Index> start = point_starts(mended.mesh, step_mm, least_height_mm);
  while (static_cast<double>(start.back()) > triangles + kMostPointsMade) {
    step_mm *= 1.5;
    start = point_starts(mended.mesh, step_mm, least_height_mm);
  }
  result.scan.points_mm.resize(3, start.back());
  result.scan.normals.resize(3, start.back());
  for_each_index(start.size() - 1, [&](std::size_t t) {
    if (start[t] == start[t + 1]) return;
    place_points(mended.mesh, static_cast<int>(t), step_mm, start[t], result.scan);
  });
  result.notes.push_back(grouped(start.back()) + " points were taken on " +
                         grouped(mended.mesh.triangles.cols()) + " triangles");
  return result;
}

}  // namespace trammel
