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

TEST_F(Staged, FolderKeepsWhatLiesInAFolderThatBothHave) {
  // A photograph of the user's in views/ went with the old pictures.
  for (const bool with_folder_within : {false, true}) {
    fs::create_directories(folder_ / "out" / "views");
    write_file_whole(folder_ / "out" / "views" / "photo", "mine");
    write_file_whole(folder_ / "out" / "views" / "old-2", "of the old sheet");
    if (with_folder_within) {
      fs::create_directories(folder_ / "out" / "views" / "deep");
      write_file_whole(folder_ / "out" / "views" / "deep" / "photo", "mine too");
    }
    {
      StagedFolder staged(folder_ / "out");
      staged.supersede([](const std::string& name) { return name.rfind("old", 0) == 0; });
      fs::create_directories(staged.path() / "views");
      write_file_whole(staged.path() / "views" / "old-1", "new");
      staged.publish();
    }
    StagedNames expected{"out", "out/views", "out/views/old-1", "out/views/photo"};
    if (with_folder_within)
      expected = {"out",
                  "out/views",
                  "out/views/deep",
                  "out/views/deep/photo",
                  "out/views/old-1",
                  "out/views/photo"};
    EXPECT_EQ(names(), expected);
    EXPECT_EQ(FileBytes(folder_ / "out" / "views" / "photo").view(), "mine");
  }
}

TEST_F(Staged, FolderIsNotTouchedWhereAFolderOfTheUsersHasTheNameOfAFile) {
  fs::create_directories(folder_ / "out" / "sheet");
  write_file_whole(folder_ / "out" / "sheet" / "mine", "kept");
  StagedFolder staged(folder_ / "out");
  write_file_whole(staged.path() / "another", "new");
  write_file_whole(staged.path() / "sheet", "new");
  EXPECT_EQ(kind_thrown_by([&] { staged.publish(); }), ErrorKind::Output);
  EXPECT_EQ(FileBytes(folder_ / "out" / "sheet" / "mine").view(), "kept");
  EXPECT_FALSE(fs::exists(folder_ / "out" / "another"));
}

TEST_F(Staged, FolderSparesTheInputs) {
  fs::create_directories(folder_ / "out");
  write_file_whole(folder_ / "out" / "scan", "measured");
  StagedFolder staged(folder_ / "out");
  staged.spare({folder_ / "out" / "scan"});
  write_file_whole(staged.path() / "scan", "new");
  EXPECT_EQ(kind_thrown_by([&] { staged.publish(); }), ErrorKind::Output);
  EXPECT_EQ(FileBytes(folder_ / "out" / "scan").view(), "measured");
}

}  // namespace
}  // namespace trammel
