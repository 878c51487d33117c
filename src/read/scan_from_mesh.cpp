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

constexpr double kStepsAcross = 300.0, kMostStepsAcross = 30'000.0;
constexpr double kFewestPoints = 150'000.0;  ///< a long strip has little surface for its length
constexpr double kMostPointsMade = 2e6;
constexpr double kLonger = 1.0 + 1e-9;
/// Lower triangles have no normal but rounding; as in geometry/mend.hpp.
constexpr double kNoHeight = 1e-7;

/// A triangle on its longest side, cut into columns of points from there up. (Rows along that side
/// would leave the tips of a sliver bare, each a quarter of its length.)
struct Columns {
  Eigen::Vector3d from, along, up;  ///< of the longest side; from its foot to the apex
  double base_mm, height_mm, apex_at;

  Columns(const Mesh& mesh, int t) {
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
    along = corner(longest + 1) - from;
    const Eigen::Vector3d side = corner(longest + 2) - from;
    base_mm = along.norm();
    apex_at = std::clamp(side.dot(along) / along.squaredNorm(), 0.0, 1.0);
    up = side - apex_at * along;
    height_mm = trammel::height_mm(mesh, t);
  }

  [[nodiscard]] int count(double step_mm) const {
    return std::max(1, static_cast<int>(std::ceil(base_mm / step_mm / kLonger)));
  }
  /// Height over the middle of a column, as a share of the apex's.
  [[nodiscard]] double share(double at) const {
    return at < apex_at ? at / apex_at : (1.0 - at) / (1.0 - apex_at);
  }
  [[nodiscard]] int points_in(double at, double step_mm) const {
    return std::max(1, static_cast<int>(std::ceil(share(at) * height_mm / step_mm / kLonger)));
  }
  [[nodiscard]] Eigen::Vector3d middle() const {
    return from + (along * (1.0 + apex_at) + up) / 3.0;
  }
};

double middle_of(int column, int columns) {
  return (column + 0.5) / columns;
}

/// Points that one triangle gives.
std::size_t point_count(const Mesh& mesh, int t, double step_mm, double least_height_mm) {
  const Columns columns(mesh, t);
  if (columns.height_mm <= least_height_mm) return 0;
  if (columns.base_mm <= step_mm) return 1;
  std::size_t points = 0;
  const int count = columns.count(step_mm);
  for (int column = 0; column < count; ++column)
    points += static_cast<std::size_t>(columns.points_in(middle_of(column, count), step_mm));
  return points;
}

void place_points(const Mesh& mesh, int t, double step_mm, Eigen::Index first, Scan& scan) {
  const Columns columns(mesh, t);
  const Eigen::Vector3d normal = area_vector(mesh, t).normalized();
  Eigen::Index next = first;
  const auto place = [&](const Eigen::Vector3d& point) {
    scan.points_mm.col(next) = point;
    scan.normals.col(next++) = normal;
  };
  if (columns.base_mm <= step_mm) {
    place(columns.middle());
    return;
  }
  const int count = columns.count(step_mm);
  for (int column = 0; column < count; ++column) {
    const double at = middle_of(column, count);
    const int points = columns.points_in(at, step_mm);
    for (int i = 0; i < points; ++i)
      place(columns.from + at * columns.along +
            (i + 0.5) / points * columns.share(at) * columns.up);
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
  const MendedMesh mended = mend(std::move(finite.mesh));
  result.notes.insert(result.notes.end(), mended.health.repairs.begin(),
                      mended.health.repairs.end());

  const double across_mm = across(mended.mesh.vertices_mm);
  const double least_height_mm = kNoHeight * across_mm;
  const auto triangles = static_cast<double>(mended.mesh.triangles.cols());
  double step_mm = std::clamp(std::sqrt(surface_area_mm2(mended.mesh) / kFewestPoints),
                              across_mm / kMostStepsAcross, across_mm / kStepsAcross);
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
