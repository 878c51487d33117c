#include "trammel/report/changes_sheet.hpp"

#include <algorithm>

#include "trammel/base/files.hpp"
#include "trammel/base/staged_folder.hpp"
#include "trammel/report/changes_files.hpp"

namespace trammel {
namespace {

/// Area of the surface that a view shows, seen square; of the changes where there are any.
double shown_mm2(const Changes& c, const View& view) {
  double shown = 0.0;
  for (Eigen::Index i = 0; i < c.cores.size(); ++i) {
    const bool counts = c.changes.empty() || c.cores.change[static_cast<std::size_t>(i)] > 0;
    const double cosine = c.cores.normals.col(i).dot(view.towards);
    // A little for the rest of the surface, so that the picture shows where on it the changes are.
    shown += (counts ? 1.0 : 0.05) * c.cores.area_mm2[i] * std::max(0.0, cosine);
  }
  return shown;
}

}  // namespace

Splats splats_of(const Changes& c) {
  const Eigen::Index old_count = c.cores.size(), count = old_count + c.new_only.size();
  Splats out;
  out.points_mm.resize(3, count);
  out.normals.resize(3, count);
  out.points_mm.leftCols(old_count) = c.cores.points_mm;
  out.points_mm.rightCols(c.new_only.size()) = c.new_only.points_mm;
  out.normals.leftCols(old_count) = c.cores.normals;
  out.normals.rightCols(c.new_only.size()) = c.new_only.normals;
  for (Eigen::Index i = 0; i < count; ++i) {
    const bool is_old = i < old_count;
    const bool only_old =
        is_old && c.cores.state[static_cast<std::size_t>(i)] == CoreState::OnlyOld;
    out.colours.push_back(is_old ? change_colour(c, i) : kRule);
    out.fill.push_back(!is_old    ? SplatFill::Dotted
                       : only_old ? SplatFill::Hatched
                                  : SplatFill::Plain);
  }
  // No place of the surface lies farther from a core point than their distance; a little more, as
  // discs lie on a curved surface.
  out.radius_mm = 1.05 * c.scales.core_mm;
  return out;
}

std::vector<View> changes_views(const Changes& c) {
  std::vector<View> views = all_views();
  std::stable_sort(views.begin(), views.end(),
                   [&](const View& a, const View& b) { return shown_mm2(c, a) > shown_mm2(c, b); });
  // The second from at least 60° elsewhere.
  const auto other = std::find_if(views.begin() + 1, views.end(), [&](const View& view) {
    return view.towards.dot(views.front().towards) < 0.5;
  });
  return {views.front(), other == views.end() ? views[1] : *other};
}

void write_changes_report(const Changes& changes, const std::filesystem::path& folder, Paper paper,
                          const std::vector<std::filesystem::path>& inputs) {
  StagedFolder staged(folder);
  staged.spare(inputs);
  const auto write = [&](const char* name, const std::string& bytes) {
    write_file_whole(staged.path() / name, bytes);
  };
  write("sheet.pdf", changes_pdf(changes, paper));
  write("sheet.html", changes_html(changes));
  write("result.json", changes_json(changes));
  write("changes.csv", changes_csv(changes));
  write("changed.ply", changed_ply(changes));
  staged.publish();
}

}  // namespace trammel
