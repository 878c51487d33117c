#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>

#include "commands.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/lighten/lighten.hpp"
#include "trammel/lighten/pieces.hpp"
#include "trammel/model/words.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/report/mesh_file.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

/// The mesh of a file, mended, in mm.
Mesh mesh_of(const fs::path& path, const UnitOption& option, UnitChoice& units) {
  const FileBytes bytes(path);
  const std::string name = path.filename().u8string();
  RawGeometry geometry = parse_geometry(bytes.view(), name);
  if (geometry.triangles.cols() == 0) {
    throw Error(ErrorKind::Input, name, "expected a mesh, found points without triangles",
                "Join the points into a mesh in the scanner's program first");
  }
  Mesh mesh = mend(finite_mesh(std::move(geometry), name).mesh).mesh;
  if (mesh.triangles.cols() == 0) {
    throw Error(ErrorKind::Input, name, "expected triangles with an area, found none",
                "Save the mesh again and check it with 'trammel look'");
  }
  units = unit_of_file(option, bounding_box(mesh.vertices_mm).diagonal_mm());
  mesh.vertices_mm *= units.mm_per_unit;
  bytes.check_unchanged();
  return mesh;
}

fs::path light_file(const LightenOptions& options) {
  if (!options.out.empty()) return options.out;
  const std::string ending = options.scan.extension().string();
  const bool known = ending == ".stl" || ending == ".obj" || ending == ".ply";
  return options.scan.stem().string() + "-light" + (known ? ending : ".ply");
}

/// "light-2.stl" for the second piece of "light.stl".
fs::path piece_file(const fs::path& file, std::size_t piece) {
  fs::path out = file;
  out.replace_filename(file.stem().string() + "-" + std::to_string(piece + 1) +
                       file.extension().string());
  return out;
}

void say(const char* from, const FarthestPoint& found) {
  std::cout << "  " << from << " at most " << fixed(found.at_most_mm, 4) << " mm off; "
            << fixed(found.at_least_mm, 4) << " mm near " << place_words(found.where_mm) << '\n';
}

/// A new file, or one that may be replaced: not the scan, nor a device.
void check_file(const fs::path& file, const fs::path& scan) {
  std::error_code unknown;
  if (fs::equivalent(file, scan, unknown)) {
    throw Error(ErrorKind::Output, file.string(), "expected a new file, found the scan itself",
                "Choose another --out");
  }
  if (fs::is_directory(file, unknown)) {
    throw Error(ErrorKind::Output, file.string(), "expected a file to write, found a folder",
                "Name the file with --out");
  }
  if (fs::exists(file, unknown) && !fs::is_regular_file(file, unknown)) {
    throw Error(ErrorKind::Output, file.string(),
                "expected a file to write, found a device or a pipe", "Name a file with --out");
  }
}

void check_ending(const fs::path& file) {
  const std::string ending = file.extension().string();
  if (ending == ".stl" || ending == ".obj" || ending == ".ply") return;
  throw Error(
      ErrorKind::Usage, "--out",
      "expected a file that ends in .stl, .obj or .ply, found '" + printable(file.string()) + "'",
      "Other programs tell the format by it");
}

/// All pieces are written before the first takes its place.
void write_pieces(const std::vector<Mesh>& pieces, const std::vector<fs::path>& files,
                  double mm_per_unit) {
  std::vector<std::unique_ptr<FileAside>> written;
  for (std::size_t i = 0; i < pieces.size(); ++i)
    written.push_back(std::make_unique<FileAside>(
        files[i], mesh_file_bytes(pieces[i], files[i].extension().string(), mm_per_unit)));
  for (const auto& file : written)
    file->publish();
}

}  // namespace

CLI::App* add_lighten(CLI::App& app, LightenOptions& options) {
  CLI::App* command =
      app.add_subcommand("lighten", "Fewer triangles, proven within a distance of the scan");
  command->add_option("scan", options.scan, "Mesh: STL, PLY, OBJ or OFF")
      ->required()
      ->option_text("SCAN");
  command->add_option("--within", options.within_mm, "Largest distance allowed either way, mm")
      ->required()
      ->check(length_above_zero())
      ->option_text("MM");
  command
      ->add_option("--triangles", options.triangles,
                   "Stop at so many triangles; the distance is kept all the same")
      ->check(count_above_zero())
      ->option_text("N");
  command->add_flag("--split", options.split, "Each connected piece into a file of its own");
  command->add_flag("--faces", options.faces,
                    "Each smooth face into a file of its own: cut where it turns by more than 30°");
  add_unit_option(*command, options.units);
  command->add_option("--out", options.out, "STL, OBJ or PLY (default: SCAN-light)")
      ->option_text("FILE");
  command->footer(
      "Example: trammel lighten scan.stl --within 0.01 --out light.stl\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

int run_lighten(const LightenOptions& options, const Common& common) {
  const fs::path file = light_file(options);
  check_ending(file);
  check_file(file, options.scan);
  UnitChoice units;
  // Of the time for millions of points: reports/speed.md, "The bar on the terminal".
  const Narrator narrate = narrator(common, {{"reading", 8}, {"lightening", 92}});
  narrate("reading " + options.scan.filename().string());
  const Mesh mesh = mesh_of(options.scan, options.units, units);
  // Writing rounds to single precision; the proof leaves room for it.
  const double rounding_mm = written_rounding_mm(mesh, units.mm_per_unit);
  LightenSettings settings;
  settings.within_mm = options.within_mm - rounding_mm;
  settings.least_triangles = options.triangles;
  if (!(settings.within_mm > 0.0)) {
    throw Error(ErrorKind::Usage, "--within",
                "expected more than the " + shortest(rounding_mm) +
                    " mm by which writing the file alone rounds",
                "Allow more");
  }
  narrate("lightening " +
          counted(static_cast<std::size_t>(mesh.triangles.cols()), "triangle", "triangles"));
  const Lightened light = lighten(mesh, settings);
  const bool apart = options.split || options.faces;
  const std::vector<Mesh> pieces = options.faces   ? smooth_pieces(light.mesh)
                                   : options.split ? connected_pieces(light.mesh)
                                                   : std::vector<Mesh>{light.mesh};
  std::vector<fs::path> files;
  for (std::size_t i = 0; i < pieces.size(); ++i)
    files.push_back(apart ? piece_file(file, i) : file);
  for (const fs::path& one : files)
    check_file(one, options.scan);
  write_pieces(pieces, files, units.mm_per_unit);
  narrate({});

  const double share = 100.0 * static_cast<double>(light.mesh.triangles.cols()) /
                       static_cast<double>(mesh.triangles.cols());
  std::cout << "Triangles: " << grouped(light.mesh.triangles.cols()) << " left of "
            << grouped(mesh.triangles.cols()) << " (" << fixed(share, 1) << " %), unit "
            << units.unit << " (" << units.reason << ")\n";
  say("scan to light: proven", light.from_original);
  say("light to scan: proven", light.from_light);
  if (rounding_mm > 0.0)
    std::cout << "  writing rounds by another " << fixed(rounding_mm, 6) << " mm at most\n";
  std::cout << "  Written: "
            << (apart ? counted(pieces.size(), "file", "files") + ", from " +
                            printable(piece_file(file, 0).string())
                      : printable(file.string()))
            << std::endl;
  if (apart && fs::exists(piece_file(file, pieces.size())))
    std::cout << "  " << printable(piece_file(file, pieces.size()).string())
              << " and any after it are of an older run" << std::endl;
  return static_cast<int>(ExitCode::Pass);
}

}  // namespace trammel::app
