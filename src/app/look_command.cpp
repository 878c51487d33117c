#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <string>
#include <vector>

#include "commands.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/geometry/weld.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel::app {
namespace {

/// One line of what is known of a file: its name in a column of its own.
void print(const std::string& label, const std::string& text) {
  constexpr std::size_t kLabelWidth = 12;
  std::cout << "  " << label << std::string(kLabelWidth - std::min(kLabelWidth, label.size()), ' ')
            << text << '\n';
}

/// About five significant digits, as the largest of the numbers that stand together needs.
int decimals_for_size(double largest) {
  return largest >= 1000.0 ? 1 : largest >= 100.0 ? 2 : largest >= 1.0 ? 3 : 5;
}

/// In full, but for what no part measures: that would take up to 300 digits.
std::string digits(double value, int decimals) {
  constexpr double kMost = 1e12;
  return std::abs(value) > kMost ? shortest(value) : fixed(value, decimals);
}

std::string measure(double value) {
  return digits(value, decimals_for_size(std::abs(value)));
}

std::string size_words(const Eigen::Vector3d& size) {
  const int decimals = decimals_for_size(size.maxCoeff());
  return digits(size.x(), decimals) + " × " + digits(size.y(), decimals) + " × " +
         digits(size.z(), decimals);
}

Eigen::Matrix3Xd finite_points(const Eigen::Matrix3Xd& points) {
  Eigen::Matrix3Xd finite(3, points.cols());
  Eigen::Index kept = 0;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    if (points.col(i).allFinite()) finite.col(kept++) = points.col(i);
  }
  finite.conservativeResize(3, kept);
  return finite;
}

std::size_t repeated_points(const Eigen::Matrix3Xd& points) {
  const std::vector<int> first = first_at_same_place(points);
  std::size_t repeated = 0;
  for (std::size_t i = 0; i < first.size(); ++i)
    repeated += first[i] != static_cast<int>(i) ? 1U : 0U;
  return repeated;
}

void print_size(const Eigen::Matrix3Xd& finite) {
  const Box box = bounding_box(finite);
  print("size", size_words(box.size_mm()) + " as stored");
  const UnitChoice unit = guess_unit_of_lone_file(box.diagonal_mm());
  print("unit", (unit.certain ? "likely " : "perhaps ") + unit.unit + ", " + unit.reason +
                    (unit.unit == "mm"
                         ? ""
                         : " (then " + size_words(box.size_mm() * unit.mm_per_unit) + " mm)"));
}

void print_health(const MendedMesh& mended) {
  const MeshHealth& health = mended.health;
  print("closed", health.closed ? "yes" : "no");
  print("shells", grouped(static_cast<long long>(health.shells)));
  std::string found;
  const auto add = [&](std::size_t count, const char* one, const char* more) {
    if (count > 0) found += (found.empty() ? "" : ", ") + counted(count, one, more);
  };
  add(health.open_edges, "open edge", "open edges");
  add(health.non_manifold_edges, "non-manifold edge", "non-manifold edges");
  add(health.mixed_winding_edges, "edge of mixed winding", "edges of mixed winding");
  add(health.zero_area_triangles, "triangle without area", "triangles without area");
  add(health.repeated_triangles, "repeated triangle", "repeated triangles");
  if (health.inside_out) found += std::string(found.empty() ? "" : ", ") + "inside out";
  print("flaws", found.empty() ? "none" : found);
  for (const std::string& repair : health.repairs)
    print("mended", repair);
  if (health.mixed_winding_left > 0) {
    print("left", counted(health.mixed_winding_left, "edge", "edges") +
                      " of mixed winding: a surface with one side");
  }
  print("area", measure(surface_area_mm2(mended.mesh)) + " as stored, squared");
  if (health.closed) print("volume", measure(signed_volume_mm3(mended.mesh)) + " as stored, cubed");
}

void look_at(const std::string& file) {
  const std::filesystem::path path = std::filesystem::u8path(file);
  const FileBytes bytes(path);
  const std::string name = path.filename().u8string();
  const RawGeometry geometry = parse_geometry(bytes.view(), name);
  bytes.check_unchanged();
  const Eigen::Matrix3Xd finite = finite_points(geometry.points);
  if (finite.cols() == 0) {
    throw Error(ErrorKind::Input, name,
                "expected a mesh or points, found " +
                    std::string(geometry.points.cols() == 0 ? "none" : "none that are finite"),
                "Save the file again, or convert it to binary STL or PLY");
  }
  std::cout << printable(name) << '\n';
  print("format", geometry.format);
  print("points", grouped(geometry.points.cols()));
  print("triangles", grouped(geometry.triangles.cols()));
  print_size(finite);
  print("normals", geometry.normals.cols() > 0 ? "yes" : "no");
  print("not finite", grouped(geometry.points.cols() - finite.cols()) + " points");
  if (geometry.triangles.cols() > 0) {
    const FiniteMesh mesh = finite_mesh(geometry, name);
    print_health(mend(mesh.mesh));
    if (mesh.dropped > 0) {
      print("left out",
            counted(mesh.dropped, "triangle", "triangles") + " with a corner that is not finite");
    }
  } else {
    print("repeated", counted(repeated_points(finite), "point", "points"));
  }
  for (const std::string& note : geometry.notes)
    print("note", printable(note));
}

}  // namespace

CLI::App* add_look(CLI::App& app, std::vector<std::string>& files) {
  CLI::App* command =
      app.add_subcommand("look", "Say what files hold: size, units guess, counts, holes, health");
  command->add_option("files", files, "Meshes and scans")->required()->option_text("FILE...");
  command->footer(
      "Example: trammel look bracket.stl scan.ply\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

int run_look(const std::vector<std::string>& files) {
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (i > 0) std::cout << '\n';
    look_at(files[i]);
  }
  return static_cast<int>(ExitCode::Pass);
}

}  // namespace trammel::app
