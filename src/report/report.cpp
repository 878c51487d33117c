#include "trammel/report/report.hpp"

#include <array>
#include <cmath>
#include <optional>

#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/staged_folder.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/csv_tables.hpp"
#include "trammel/report/deviation_glb.hpp"
#include "trammel/report/png.hpp"
#include "trammel/report/sheet_html.hpp"
#include "trammel/report/sheet_pages.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

/// "views/1-from-minus-X-minus-Y-plus-Z.png": numbered as on the sheet, in letters any system
/// takes.
std::string view_file(std::size_t index, const View& view) {
  std::string name = std::to_string(index + 1);
  constexpr std::array<const char*, 3> kAxes = {"-X", "-Y", "-Z"};
  name += "-from";
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    const double part = view.towards[axis];
    if (std::abs(part) < 0.1) continue;
    name += std::string(part > 0.0 ? "-plus" : "-minus") + kAxes[static_cast<std::size_t>(axis)];
  }
  return name + ".png";
}

/// What an older sheet may have had more of.
bool is_view_file(const std::string& name) {
  const std::size_t digits = name.find_first_not_of("0123456789");
  return digits != 0 && digits != name.npos && name.compare(digits, 6, "-from-") == 0 &&
         ends_with(name, ".png");
}

std::vector<std::string> packed(const std::vector<Picture>& pictures) {
  std::vector<std::string> files(pictures.size());
  for_each_index(
      pictures.size(), [&](std::size_t i) { files[i] = png_of(pictures[i]); }, 1);
  return files;
}

}  // namespace

Picture write_report(const Inspection& inspection, const fs::path& folder, Paper paper,
                     const std::vector<fs::path>& inputs) {
  StagedFolder staged(folder);
  staged.supersede(is_view_file);
  staged.spare(inputs);
  const auto write = [&](const std::string& name, const std::string& bytes) {
    write_file_whole(staged.path() / name, bytes);
  };
  make_folder(staged.path() / "views");
  std::optional<SheetContext> context;
  DrawnSheet sheet;
  run_together({[&] {
                  context.emplace(inspection);
                  sheet = draw_sheet(*context, paper);
                },
                [&] { write("deviation.ply", deviation_ply(inspection)); },
                [&] { write("aligned-scan.ply", aligned_scan_ply(inspection)); },
                [&] { write("result.json", result_json(inspection)); },
                [&] { write("regions.csv", regions_csv(inspection)); },
                [&] { write("holes.csv", holes_csv(inspection)); },
                [&] { write("slots.csv", slots_csv(inspection)); },
                [&] { write("distances.csv", distances_csv(inspection)); },
                [&] { write("forms.csv", forms_csv(inspection)); }});
  ViewerMesh mesh;
  ViewerPoints points;
  std::vector<std::string> views;
  run_together({[&] { mesh = viewer_mesh(inspection, context->painter.corners()); },
                [&] { points = viewer_points(inspection); }, [&] { views = packed(sheet.views); }});
  run_together({[&] { write("sheet.html", sheet_html(*context, mesh, points, views.front())); },
                [&] { write("deviation.glb", deviation_glb(inspection, mesh)); },
                [&] { write("sheet.pdf", sheet.pdf); },
                [&] {
                  for (std::size_t i = 0; i < views.size(); ++i)
                    write("views/" + view_file(i, context->views[i]), views[i]);
                }});
  staged.publish();
  return std::move(sheet.views.front());
}

}  // namespace trammel
