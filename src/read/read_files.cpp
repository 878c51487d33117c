#include "trammel/read/read_files.hpp"

#include <cmath>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/mend.hpp"

namespace trammel {
namespace {

std::string name_of(const std::filesystem::path& path) {
  return path.filename().u8string();
}

/// Points that the triangles do not use are told apart from a mesh's: a cloud with a few faces.
bool triangles_join_most_points(const RawGeometry& geometry) {
  std::vector<bool> used(static_cast<std::size_t>(geometry.points.cols()), false);
  std::size_t count = 0;
  for (Eigen::Index i = 0; i < geometry.triangles.size(); ++i) {
    auto flag = used[static_cast<std::size_t>(geometry.triangles.data()[i])];
    count += flag ? 0U : 1U;
    flag = true;
  }
  return count > 0 && 2 * count >= used.size();
}

std::size_t finite_count(const Eigen::Matrix3Xd& points) {
  return ordered_sum(static_cast<std::size_t>(points.cols()), std::size_t{0}, [&](std::size_t i) {
    return points.col(static_cast<Eigen::Index>(i)).allFinite() ? std::size_t{1} : std::size_t{0};
  });
}

/// Makes normals unit. False when one has no direction.
bool make_unit(Eigen::Matrix3Xd& normals) {
  const auto bad =
      ordered_sum(static_cast<std::size_t>(normals.cols()), std::size_t{0}, [&](std::size_t i) {
        auto normal = normals.col(static_cast<Eigen::Index>(i));
        const double length = normal.stableNorm();
        if (!(length > 0.0) || !std::isfinite(length)) return std::size_t{1};
        normal /= length;
        return std::size_t{0};
      });
  return bad == 0;
}

/// From a thousandth of a millimetre to ten kilometres.
constexpr double kLeastDesign_mm = 1e-3, kMostDesign_mm = 1e7;
/// Of the square of its diagonal; triangles that cover less are lines, and no scan can lie on them.
constexpr double kLeastAreaOfSquare = 1e-9;
constexpr auto kSaveAsMesh = "Save the design from CAD as a mesh, for instance as binary STL";

void check_size(double diagonal_mm, const std::string& name) {
  if (diagonal_mm >= kLeastDesign_mm && diagonal_mm <= kMostDesign_mm) return;
  throw Error(
      ErrorKind::Input, name,
      "expected a design of 0.001 mm to 10 km, found one of " + shortest(diagonal_mm) + " mm",
      "Check the coordinates of the file, and the plan's units");
}

RawScan scan_from_points(RawGeometry geometry, const std::string& name) {
  RawScan result;
  result.file = name;
  result.scan.name = name;
  result.scan.points_mm = std::move(geometry.points);
  if (geometry.triangles.cols() > 0) {
    result.notes.push_back("the file's " + grouped(geometry.triangles.cols()) +
                           " triangles join less than half of its points: all points were taken, "
                           "the triangles were not");
  }
  if (geometry.normals.cols() > 0) {
    if (make_unit(geometry.normals)) {
      result.scan.normals = std::move(geometry.normals);
    } else {
      result.notes.emplace_back("normals were dropped: some are zero or not finite");
    }
  }
  return result;
}

}  // namespace

FiniteMesh finite_mesh(RawGeometry geometry, const std::string& name) {
  FiniteMesh result;
  result.mesh.name = name;
  Eigen::Index kept = 0;
  for (Eigen::Index t = 0; t < geometry.triangles.cols(); ++t) {
    const Eigen::Vector3i corners = geometry.triangles.col(t);
    const bool finite = geometry.points.col(corners[0]).allFinite() &&
                        geometry.points.col(corners[1]).allFinite() &&
                        geometry.points.col(corners[2]).allFinite();
    if (finite) geometry.triangles.col(kept++) = corners;
  }
  result.dropped = static_cast<std::size_t>(geometry.triangles.cols() - kept);
  geometry.triangles.conservativeResize(3, kept);
  result.mesh.vertices_mm = std::move(geometry.points);
  result.mesh.triangles = std::move(geometry.triangles);
  return result;
}

Design read_design(const std::filesystem::path& path, Unit unit) {
  const FileBytes bytes(path);
  const std::string name = name_of(path);
  RawGeometry geometry = parse_geometry(bytes.view(), name);
  const std::vector<std::string> notes = std::move(geometry.notes);
  FiniteMesh finite = finite_mesh(std::move(geometry), name);
  finite.mesh.vertices_mm *= mm_per_unit(unit);
  MendedMesh mended = mend(std::move(finite.mesh));
  if (mended.mesh.triangles.cols() == 0) {
    throw Error(ErrorKind::Input, name, "expected a design of triangles, found none", kSaveAsMesh);
  }
  const double diagonal_mm = bounding_box(mended.mesh.vertices_mm).diagonal_mm();
  check_size(diagonal_mm, name);
  if (!(surface_area_mm2(mended.mesh) > kLeastAreaOfSquare * diagonal_mm * diagonal_mm)) {
    throw Error(ErrorKind::Input, name, "expected triangles with an area, found none", kSaveAsMesh);
  }
  Design design{std::move(mended.mesh), std::move(mended.health), name, sha256_hex(bytes.view())};
  bytes.check_unchanged();
  std::vector<std::string>& repairs = design.health.repairs;
  repairs.insert(repairs.begin(), notes.begin(), notes.end());
  if (finite.dropped > 0) {
    repairs.push_back(grouped(static_cast<long long>(finite.dropped)) +
                      " triangles with a corner that is not finite were left out");
  }
  return design;
}

RawScan read_scan(const std::filesystem::path& path) {
  return read_scan(FileBytes(path), name_of(path));
}

RawScan read_scan(const FileBytes& bytes, const std::string& name) {
  RawGeometry geometry = parse_geometry(bytes.view(), name);
  std::vector<std::string> notes = std::move(geometry.notes);
  RawScan result = triangles_join_most_points(geometry)
                       ? scan_from_mesh(std::move(geometry), name)
                       : scan_from_points(std::move(geometry), name);
  result.notes.insert(result.notes.begin(), notes.begin(), notes.end());
  const std::size_t finite = finite_count(result.scan.points_mm);
  if (finite < 3) {
    throw Error(ErrorKind::Input, name,
                "expected a scan of at least 3 points, found " + std::to_string(finite),
                "Export the scan again as a point cloud or a mesh");
  }
  result.sha256 = sha256_hex(bytes.view());
  bytes.check_unchanged();
  return result;
}

}  // namespace trammel
