#include "readers.hpp"

#include <functional>
#include <map>

#include "trammel/base/error.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/read/raw_geometry.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/read/read_plan.hpp"

namespace trammel::test {
namespace {

using Reader = std::function<void(std::string_view)>;

/// What every later stage takes for granted.
void check_geometry(const RawGeometry& geometry) {
  TRAMMEL_CHECK(geometry.normals.cols() == 0 || geometry.normals.cols() == geometry.points.cols(),
                "normals must be none or one a point");
  for (Eigen::Index i = 0; i < geometry.triangles.size(); ++i) {
    const int corner = geometry.triangles.data()[i];
    TRAMMEL_CHECK(corner >= 0 && corner < geometry.points.cols(), "a corner must be a point");
  }
  TRAMMEL_CHECK(!geometry.format.empty(), "the format must be told");
}

using Parser = RawGeometry (*)(std::string_view, const std::string&);

Reader geometry_reader(Parser parse) {
  return [parse](std::string_view bytes) { check_geometry(parse(bytes, "file")); };
}

/// Both ways that a file of any format can go: as a design, and as a scan.
void read_as_design_and_scan(std::string_view bytes) {
  RawGeometry geometry = parse_geometry(bytes, "file.xyz");
  check_geometry(geometry);
  if (geometry.triangles.cols() == 0) return;
  const MendedMesh mended = mend(finite_mesh(geometry, "file").mesh);
  TRAMMEL_CHECK(mended.mesh.vertices_mm.allFinite(), "a mended mesh must be finite");
  const RawScan scan = scan_from_mesh(std::move(geometry), "file");
  TRAMMEL_CHECK(scan.scan.normals.cols() == scan.scan.points_mm.cols(), "one normal a point");
}

const std::map<std::string, Reader>& readers() {
  static const std::map<std::string, Reader> kReaders = {
      {"stl", geometry_reader(parse_stl)},
      {"ply", geometry_reader(parse_ply)},
      {"obj", geometry_reader(parse_obj)},
      {"off", geometry_reader(parse_off)},
      {"xyz", geometry_reader(parse_xyz)},
      {"plan", [](std::string_view bytes) { (void)parse_plan(bytes, "plan.toml"); }},
      {"scan", read_as_design_and_scan}};
  return kReaders;
}

}  // namespace

const std::vector<std::string>& reader_names() {
  static const std::vector<std::string> kNames = [] {
    std::vector<std::string> names;
    for (const auto& [name, reader] : readers())
      names.push_back(name);
    return names;
  }();
  return kNames;
}

std::string read_with(const std::string& reader, std::string_view bytes) {
  try {
    readers().at(reader)(bytes);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::Input) throw;
    TRAMMEL_CHECK(!error.where().empty() && !error.problem().empty() && !error.next().empty(),
                  "a message must say where, what and what next");
    return error.what();
  }
  return {};
}

}  // namespace trammel::test
