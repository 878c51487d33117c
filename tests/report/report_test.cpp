#include "trammel/report/report.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(in), {});
}

TEST(Report, WritesAllThreeFilesAndNothingElse) {
  const test::ScratchFolder scratch;
  const Inspection inspection = test::failing_inspection(5.0);
  write_report(inspection, scratch.path() / "deep" / "sheet");
  EXPECT_EQ(bytes_of(scratch.path() / "deep/sheet/result.json"), result_json(inspection));
  EXPECT_EQ(bytes_of(scratch.path() / "deep/sheet/deviation.ply"), deviation_ply(inspection));
  EXPECT_TRUE(bytes_of(scratch.path() / "deep/sheet/sheet.pdf") == sheet_pdf(inspection));
  EXPECT_EQ(std::distance(fs::directory_iterator(scratch.path() / "deep/sheet"), {}), 3);
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
