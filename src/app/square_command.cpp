#include <CLI/CLI.hpp>
#include <iostream>

#include "commands.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/run_info.hpp"
#include "trammel/base/staged_folder.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/report/mesh_file.hpp"
#include "trammel/report/squared_files.hpp"
#include "trammel/square/square_up.hpp"
#include "trammel/tidy/enough_points.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel::app {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t kSquareSeed = 22;
constexpr double kFarthest = 1e9;  // file units: no place of a scan lies farther

/// "X,Y,Z" in file units. @throws Error Usage
Eigen::Vector3d place_of(const std::string& text, const char* option) {
  Eigen::Vector3d place;
  std::size_t start = 0;
  for (int k = 0; k < 3; ++k) {
    const std::size_t end = k < 2 ? text.find(',', start) : text.size();
    const auto value =
        end == text.npos ? std::nullopt : parse_double(text.substr(start, end - start));
    if (!value || !(std::abs(*value) <= kFarthest)) {
      throw Error(ErrorKind::Usage, option,
                  "expected X,Y,Z in the scan's own units, found '" + text + "'",
                  "Write it as 120.5,-3,80");
    }
    place[k] = *value;
    start = end + 1;
  }
  return place;
}

SquareSettings settings_of(const SquareOptions& options, double mm_per_unit) {
  SquareSettings out;
  if (!options.up.empty()) out.up_mm = mm_per_unit * place_of(options.up, "--up");
  if (!options.above.empty()) out.above_mm = mm_per_unit * place_of(options.above, "--above");
  if (!options.origin.empty()) out.origin_mm = mm_per_unit * place_of(options.origin, "--origin");
  if (options.forward.empty()) return out;
  const std::size_t colon = options.forward.find(':');
  const std::string last =
      colon == options.forward.npos ? options.forward : options.forward.substr(colon + 1);
  out.forward_mm = mm_per_unit * place_of(last, "--forward");
  if (colon != options.forward.npos)
    out.rear_mm = mm_per_unit * place_of(options.forward.substr(0, colon), "--forward");
  return out;
}

/// What its points tell; they are gone after it, as writing needs the memory.
Squared squared_up(RawScan raw, const SquareOptions& options) {
  // In file units first: their size tells the unit, which mostly is mm.
  const Eigen::Index points = raw.scan.size();
  const Scan enough = enough_points(std::move(raw.scan), kEnoughPoints);
  Tidied tidied = tidy(enough);
  const UnitChoice units =
      unit_of_file(options.units, bounding_box(tidied.scan.points_mm).diagonal_mm());
  if (units.mm_per_unit != 1.0) tidied = tidy(in_mm(enough, units));
  Squared squared = square_up(tidied.scan, settings_of(options, units.mm_per_unit),
                              Rng(kSquareSeed).stream("square"));
  squared.file = raw.file;
  squared.sha256 = raw.sha256;
  squared.units = units;
  if (!units.certain)
    squared.notes.push_back("the scan was taken to be in " + units.unit +
                            ", which its size does not settle; say --units if it is not");
  if (points > kEnoughPoints)
    squared.notes.push_back("directions are found from about " + grouped(kEnoughPoints) +
                            " of the " +
                            counted(static_cast<std::size_t>(points), "point", "points") +
                            ", spread evenly; all are written");
  return squared;
}

/// Each point of the scan, moved; a mesh stays one.
std::pair<std::string, std::string> squared_scan(const FileBytes& bytes, const fs::path& path,
                                                 const Squared& squared) {
  const std::string name = path.filename().u8string();
  RawGeometry geometry = parse_geometry(bytes.view(), name);
  bytes.check_unchanged();
  const double unit = squared.units.mm_per_unit;
  if (geometry.triangles.cols() > 0) {
    Mesh mesh = finite_mesh(std::move(geometry), name).mesh;
    mesh.vertices_mm = squared.T_square_scan * (unit * mesh.vertices_mm);
    const std::string ending = path.extension().string() == ".stl" ? ".stl" : ".ply";
    return {"squared" + ending, mesh_file_bytes(mesh, ending, unit)};
  }
  Scan scan;
  scan.points_mm = std::move(geometry.points);
  if (unit != 1.0) scan.points_mm *= unit;
  if (geometry.normals.cols() == scan.size()) scan.normals = std::move(geometry.normals);
  move_scan(scan, squared.T_square_scan);
  return {"squared.ply", scan_file_bytes(scan, unit)};
}

}  // namespace

CLI::App* add_square(CLI::App& app, SquareOptions& options) {
  CLI::App* command = app.add_subcommand("square", "Set a raw scan square to its axes");
  command->add_option("scan", options.scan, "Scan: STL, PLY, OBJ, OFF or XYZ")
      ->required()
      ->option_text("SCAN");
  command
      ->add_option("--up", options.up,
                   "A place on the flat face that shall lie level (default: the largest)")
      ->option_text("X,Y,Z");
  command
      ->add_option("--above", options.above,
                   "A place that lies above that face, where its side is not known")
      ->option_text("X,Y,Z");
  command
      ->add_option("--forward", options.forward,
                   "A place in the front half, or two, rear and front: X,Y,Z:X,Y,Z")
      ->option_text("X,Y,Z");
  command->add_option("--origin", options.origin, "The place that becomes the origin")
      ->option_text("X,Y,Z");
  add_unit_option(*command, options.units);
  add_paper_option(*command, options.paper);
  command->add_option("--out", options.out, "Folder (default: SCAN-square)")->option_text("DIR");
  command->footer(
      "Example: trammel square van.ply --forward=1200,40,300 --out van-square\n"
      "Places are in the scan's own coordinates and units. Exit codes: 0 square, 2 undecided.\n"
      "--quiet and --threads N go with every command: trammel --help");
  return command;
}

int run_square(const SquareOptions& options, const Common& common) {
  const fs::path folder =
      options.out.empty() ? default_folder(options.scan, "-square") : options.out;
  check_folder(folder, {options.scan});
  // Of the time for millions of points: reports/speed.md, "The bar on the terminal".
  const Narrator narrate = narrator(common, {{"reading", 77}, {"looking", 17}, {"writing", 6}});
  (void)settings_of(options, 1.0);  // a misspelt place is told of before the work
  narrate("reading " + options.scan.filename().string());
  // Kept open: the file is read once more at the end, and must be the same one.
  const FileBytes bytes(options.scan);
  RawScan raw = read_scan(bytes, options.scan.filename().u8string());
  narrate("looking for directions");
  Squared squared = squared_up(std::move(raw), options);
  squared.run = run_info_of_this_process(common.arguments);
  narrate("writing " + folder.string());
  StagedFolder staged(folder);
  staged.spare({options.scan});
  const auto [name, file] = squared_scan(bytes, options.scan, squared);
  write_file_whole(staged.path() / name, file);
  write_file_whole(staged.path() / "square.json", squared_json(squared));
  write_file_whole(staged.path() / "square.pdf", squared_pdf(squared, paper_of(options.paper)));
  staged.publish();
  narrate({});
  std::cout << squared_summary(squared, folder);
  std::cout.flush();
  return static_cast<int>(squared.certain ? ExitCode::Pass : ExitCode::Undecided);
}

}  // namespace trammel::app
