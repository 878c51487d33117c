#include "trammel/report/report.hpp"

#include "trammel/base/files.hpp"

namespace trammel {

void write_report(const Inspection& inspection, const std::filesystem::path& folder) {
  StagedFolder staged(folder);
  write_file_whole(staged.path() / "result.json", result_json(inspection));
  write_file_whole(staged.path() / "deviation.ply", deviation_ply(inspection));
  write_file_whole(staged.path() / "sheet.pdf", sheet_pdf(inspection));
  staged.publish();
}

}  // namespace trammel
