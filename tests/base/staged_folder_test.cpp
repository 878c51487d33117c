#include "trammel/base/staged_folder.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/files.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

/// An empty folder of its own for each test, removed afterwards.
class Staged : public ::testing::Test {
 protected:
  Staged() {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::path(::testing::TempDir()) / ("trammel_staged_" + std::string(test->name()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  ~Staged() override { fs::remove_all(folder_); }

  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(folder_))
      found.push_back(fs::relative(entry.path(), folder_).string());
    std::sort(found.begin(), found.end());
    return found;
  }

  fs::path folder_;
};

using StagedNames = std::vector<std::string>;

template <typename Action>
ErrorKind staging_throws(const Action& action) {
  try {
    action();
  } catch (const Error& error) {
    EXPECT_FALSE(error.where().empty());
    EXPECT_FALSE(error.next().empty());
    return error.kind();
  }
  ADD_FAILURE() << "nothing was thrown";
  return ErrorKind::Internal;
}

TEST_F(Staged, FolderAppearsOnlyWhenPublished) {
  StagedFolder staged(folder_ / "out");
  write_file_whole(staged.path() / "sheet", "1");
  EXPECT_FALSE(fs::exists(folder_ / "out"));
  staged.publish();
  EXPECT_EQ(FileBytes(folder_ / "out" / "sheet").view(), "1");
}

TEST_F(Staged, FolderLeavesNothingWhenAbandoned) {
  {
    const StagedFolder staged(folder_ / "out");
    write_file_whole(staged.path() / "sheet", "half");
  }
  EXPECT_TRUE(names().empty());
}

TEST_F(Staged, FolderLeavesNothingAsideAfterPublishing) {
  {
    StagedFolder staged(folder_ / "out");
    write_file_whole(staged.path() / "sheet", "1");
    staged.publish();
  }
  EXPECT_EQ(names(), (StagedNames{"out", "out/sheet"}));
}

TEST_F(Staged, FolderReplacesItsOwnFilesAndKeepsOthers) {
  fs::create_directories(folder_ / "out");
  write_file_whole(folder_ / "out" / "sheet", "old");
  write_file_whole(folder_ / "out" / "my notes", "kept");
  {
    StagedFolder staged(folder_ / "out");
    write_file_whole(staged.path() / "sheet", "new");
    staged.publish();
  }
  EXPECT_EQ(FileBytes(folder_ / "out" / "sheet").view(), "new");
  EXPECT_EQ(FileBytes(folder_ / "out" / "my notes").view(), "kept");
  EXPECT_EQ(names(), (StagedNames{"out", "out/my notes", "out/sheet"}));
}

TEST_F(Staged, FolderMakesTheFoldersAboveIt) {
  StagedFolder staged(folder_ / "a" / "b" / "");
  write_file_whole(staged.path() / "sheet", "1");
  staged.publish();
  EXPECT_TRUE(fs::exists(folder_ / "a" / "b" / "sheet"));
}

TEST_F(Staged, FolderCannotTakeTheNameOfAFileOrLieInOne) {
  write_file_whole(folder_ / "x", "bytes");
  EXPECT_EQ(staging_throws([&] { StagedFolder{folder_ / "x"}; }), ErrorKind::Output);
  EXPECT_EQ(staging_throws([&] { StagedFolder{folder_ / "x" / "out"}; }), ErrorKind::Output);
  EXPECT_EQ(names(), StagedNames{"x"});
}

}  // namespace
}  // namespace trammel
