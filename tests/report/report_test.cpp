#include "trammel/report/report.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <set>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/base/error.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

std::set<std::string> names_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.insert(entry.path().filename().string());
  return names;
}

TEST(Report, WritesItsFilesAndNothingElse) {
  const test::ScratchFolder scratch;
  const Inspection inspection = test::failing_inspection(5.0);
  write_report(inspection, scratch.path() / "deep" / "sheet");
  EXPECT_EQ(bytes_of(scratch.path() / "deep/sheet/result.json"), result_json(inspection));
  EXPECT_EQ(bytes_of(scratch.path() / "deep/sheet/deviation.ply"), deviation_ply(inspection));
  EXPECT_TRUE(bytes_of(scratch.path() / "deep/sheet/sheet.pdf") == sheet_pdf(inspection));
  EXPECT_TRUE(bytes_of(scratch.path() / "deep/sheet/sheet.html") == sheet_html(inspection));
  EXPECT_EQ(bytes_of(scratch.path() / "deep/sheet/aligned-scan.ply"), aligned_scan_ply(inspection));
  const std::set<std::string> wanted = {"aligned-scan.ply", "deviation.glb", "deviation.ply",
                                        "distances.csv",    "forms.csv",     "holes.csv",
                                        "regions.csv",      "result.json",   "sheet.html",
                                        "sheet.pdf",        "slots.csv",     "views"};
  EXPECT_EQ(names_in(scratch.path() / "deep/sheet"), wanted);
  const auto views = names_in(scratch.path() / "deep/sheet/views");
  EXPECT_EQ(views.size(), SheetContext(inspection).views.size());
  EXPECT_EQ(views.begin()->substr(0, 7), "1-from-");
  EXPECT_EQ(std::distance(fs::directory_iterator(scratch.path() / "deep"), {}), 1);
}

TEST(Report, LeavesNothingBehindWhereItCannotWrite) {
  const test::ScratchFolder scratch;
  const fs::path in_the_way = scratch.path() / "sheet";
  std::ofstream(in_the_way) << "a file";
  try {
    write_report(test::passing_inspection(6.0), in_the_way);
    FAIL() << "expected an error";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Output);
  }
  EXPECT_EQ(bytes_of(in_the_way), "a file");
  EXPECT_EQ(std::distance(fs::directory_iterator(scratch.path()), {}), 1);
}

}  // namespace
}  // namespace trammel
