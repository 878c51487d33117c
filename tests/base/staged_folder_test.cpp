#include "trammel/base/staged_folder.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <fstream>
#include <vector>

#include "base/own_folder.hpp"
#include "trammel/base/files.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;
using test::kind_thrown_by;
using StagedNames = std::vector<std::string>;

class Staged : public test::OwnFolder {};

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
  EXPECT_EQ(kind_thrown_by([&] { StagedFolder{folder_ / "x"}; }), ErrorKind::Output);
  EXPECT_EQ(kind_thrown_by([&] { StagedFolder{folder_ / "x" / "out"}; }), ErrorKind::Output);
  EXPECT_EQ(names(), StagedNames{"x"});
}

}  // namespace
}  // namespace trammel
