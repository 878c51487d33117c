#include "trammel/report/changes_sheet.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "report/sample_changes.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

TEST(ChangesViews, LookAtTheChange) {
  EXPECT_GT(changes_views(test::sample_changes()).front().towards.z(), 0.9);
  EXPECT_EQ(changes_views(test::sample_changes()).size(), 2U);
}

TEST(Splats, TellApartWhatWasSeenByWhom) {
  const Splats splats = splats_of(test::sample_changes());
  ASSERT_EQ(splats.fill.size(), 420U);
  EXPECT_EQ(splats.fill[0], SplatFill::Plain);
  EXPECT_EQ(splats.fill[399], SplatFill::Hatched);
  EXPECT_EQ(splats.fill[400], SplatFill::Dotted);
}

TEST(WriteChangesReport, LeavesFiveFilesOrNone) {
  std::string pattern = (fs::temp_directory_path() / "trammel-changes-XXXXXX").string();
  ASSERT_NE(mkdtemp(pattern.data()), nullptr);
  const fs::path folder = fs::path(pattern) / "sheet";
  write_changes_report(test::sample_changes(), folder);
  for (const char* name : {"sheet.pdf", "sheet.html", "result.json", "changes.csv", "changed.ply"})
    EXPECT_GT(fs::file_size(folder / name), 100U) << name;
  EXPECT_THROW(write_changes_report(test::sample_changes(), folder / "sheet.pdf"), Error);
  fs::remove_all(pattern);
}

}  // namespace
}  // namespace trammel
