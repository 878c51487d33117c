/// Makes the designs, scans and truths of the demo, the same bytes every time:
///
///     make_demo FOLDER
///
/// The parts are invented: a small workshop turns a delivery van, which may not be drilled, into a
/// mobile bicycle workshop.

#include <algorithm>
#include <exception>
#include <iostream>

#include "demo_scan.hpp"
#include "support/mesh_files.hpp"
#include "support/panel.hpp"
#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/files.hpp"

namespace trammel::demo {
namespace {

namespace fs = std::filesystem;

/// Plate of 120 × 80 × 6 mm with one corner cut off, four screw holes and a bore.
Mesh adapter_plate() {
  std::vector<std::vector<Eigen::Vector2d>> loops{{{0, 0}, {120, 0}, {120, 58}, {92, 80}, {0, 80}}};
  const auto add_hole = [&](double x, double y, double diameter_mm) {
    auto& loop = loops.emplace_back();
    for (const Eigen::Vector3d& p :
         test::circle({x, y, 0}, -Eigen::Vector3d::UnitZ(), diameter_mm, 64)) {
      loop.emplace_back(p.head<2>());
    }
  };
  add_hole(12, 12, 9.0);
  add_hole(106, 20, 9.0);
  add_hole(18, 64, 9.0);
  add_hole(74, 68, 9.0);
  add_hole(56, 36, 36.0);
  return test::extrude(loops, 6.0);
}

DemoScan scan_named(const std::string& name, const std::string& design, std::uint64_t seed,
                    const Mesh& made) {
  DemoScan demo;
  demo.name = name;
  demo.design = design;
  demo.expected = "pass";
  demo.seed = seed;
  demo.made = made;
  demo.settings.points = 45000;
  demo.settings.views = spread_directions(80);  // as a scanner that is swept around by hand
  return demo;
}

void make_lamp_housing(const fs::path& folder) {
  const Mesh design = test::housing();
  write_file_whole(folder / "lamp-housing.stl", test::stl_bytes(design));

  DemoScan good = scan_named("lamp-housing-1.ply", "lamp-housing.stl", 1101, design);
  good.settings.points = 75000;  // enough for its small holes
  good.settings.with_normals = false;
  good.settings.unit_mm = 1000.0;
  good.settings.stray_share = 0.002;
  write_points(good, folder);

  DemoScan bad = scan_named("lamp-housing-2.ply", "lamp-housing.stl", 1102,
                            shrunk(wall_bowed_in(design, 0.9), 0.008));
  bad.expected = "fail";
  bad.flaws = {{"bow", "long wall y = 0, pulled in at the middle of its rim", {55, 0, 40}, 0.9},
               {"shrink", "everywhere, 0.8 % about the middle of the box", {0, 0, 0}, 0.56}};
  bad.settings.points = 45000;
  bad.settings.with_normals = false;
  bad.settings.bench = true;
  bad.settings.stray_share = 0.004;
  write_points(bad, folder);
}

void make_shelf_bracket(const fs::path& folder) {
  write_file_whole(folder / "shelf-bracket.stl", test::stl_bytes(test::bracket()));

  DemoScan good = scan_named("shelf-bracket-1.ply", "shelf-bracket.stl", 1201, test::bracket());
  good.settings.unit_mm = 25.4;
  good.settings.stray_share = 0.002;
  write_points(good, folder);

  constexpr double kTwist_rad = 2.0 * 3.14159265358979323846 / 180.0;
  test::BracketOptions options;
  options.second_base_hole_off_mm = {0.84, 1.12};
  DemoScan bad = scan_named("shelf-bracket-2.ply", "shelf-bracket.stl", 1202,
                            upright_twisted(test::bracket(options), kTwist_rad));
  bad.expected = "fail";
  bad.flaws = {{"twist", "upright, 2° about the vertical at its top edge", {0, 0, 55}, 1.05},
               {"hole off place", "base hole drawn at (70, 44)", {70, 44, 1.5}, 1.4}};
  bad.settings.points = 40000;
  bad.settings.clamp = true;
  bad.settings.stray_share = 0.003;
  write_points(bad, folder);
}

void make_adapter_plate(const fs::path& folder) {
  const Mesh design = adapter_plate();
  write_file_whole(folder / "adapter-plate.stl", test::stl_bytes(design));
  DemoScan good = scan_named("adapter-plate-1.ply", "adapter-plate.stl", 1301, design);
  good.settings.noise_mm = 0.02;
  good.settings.with_normals = false;
  write_fused_mesh(good, {92, 50}, 10.0, folder);
}

/// A wing panel before and after its repair: a dent pulled, a bracket welded on, a flange bent.
void make_wing(const fs::path& folder) {
  test::PanelOptions dented, repaired;
  dented.pushes = {{{285, 118}, 34.0, -2.4}};
  repaired.bracket = true;
  repaired.flange_bend_rad = 0.2;
  for (const bool after : {false, true}) {
    DemoScan demo = scan_named(after ? "wing-after.ply" : "wing-before.ply", "",
                               after ? 1402 : 1401, test::wing_panel(after ? repaired : dented));
    demo.expected = after ? "changed" : "the old scan of wing-after.ply";
    if (after)
      demo.flaws = {
          {"dent pulled", "middle of the panel", test::on_wing_panel(285, 118), 2.4},
          {"bracket welded on", "its foot is 4 mm thick", test::on_wing_panel(128, 60), 4.0},
          {"flange bent", "its middle, outward at its edge", {-9, 110, 0}, 3.6}};
    demo.settings.views = test::panel_views();
    demo.settings.points = 36000;
    demo.settings.noise_mm = 0.05;
    demo.settings.stray_share = 0.001;
    write_points(demo, folder);
  }
}

}  // namespace
}  // namespace trammel::demo

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: make_demo FOLDER\n";
    return 64;
  }
  try {
    trammel::demo::make_lamp_housing(argv[1]);
    trammel::demo::make_shelf_bracket(argv[1]);
    trammel::demo::make_adapter_plate(argv[1]);
    trammel::demo::make_wing(argv[1]);
    return 0;
  } catch (const std::exception& problem) {
    std::cerr << problem.what() << '\n';
    return 70;
  }
}
