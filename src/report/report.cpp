#include "trammel/report/report.hpp"

#include "trammel/base/files.hpp"
#include "trammel/report/sheet_html.hpp"
#include "trammel/report/sheet_pages.hpp"

namespace trammel {

void write_report(const Inspection& inspection, const std::filesystem::path& folder) {
  StagedFolder staged(folder);
  write_file_whole(staged.path() / "result.json", result_json(inspection));
  write_file_whole(staged.path() / "deviation.ply", deviation_ply(inspection));
  const SheetContext context(inspection);
  const DrawnSheet sheet = draw_sheet(context);
  write_file_whole(staged.path() / "sheet.pdf", sheet.pdf);
  write_file_whole(staged.path() / "sheet.html", sheet_html(context, sheet.views.front()));
  staged.publish();
}

}  // namespace trammel
