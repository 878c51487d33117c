#include "trammel/base/files.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <vector>

#include "base/own_folder.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;
using test::kind_thrown_by;
using Names = std::vector<std::string>;

class Files : public test::OwnFolder {};

TEST_F(Files, AreReadAsTheyWereWritten) {
  const std::string bytes("a\0b\r\n\xFF", 6);
  write_file_whole(folder_ / "x", bytes);
  EXPECT_EQ(FileBytes(folder_ / "x").view(), bytes);
  EXPECT_EQ(names(), Names{"x"});
}

TEST_F(Files, MayBeEmpty) {
  write_file_whole(folder_ / "x", "");
  EXPECT_TRUE(FileBytes(folder_ / "x").view().empty());
}

TEST_F(Files, KeepTheirBytesWhenTheHandleMoves) {
  write_file_whole(folder_ / "x", "bytes");
  FileBytes first(folder_ / "x");
  const FileBytes second(std::move(first));
  EXPECT_EQ(second.view(), "bytes");
}

TEST_F(Files, ReplaceAnOlderFileWhole) {
  write_file_whole(folder_ / "x", "old and longer");
  write_file_whole(folder_ / "x", "new");
  EXPECT_EQ(FileBytes(folder_ / "x").view(), "new");
}

TEST_F(Files, ThatAreMissingOrFoldersAreErrors) {
  EXPECT_EQ(kind_thrown_by([&] { FileBytes(folder_ / "none"); }), ErrorKind::Missing);
  EXPECT_EQ(kind_thrown_by([&] { FileBytes{folder_}; }), ErrorKind::Missing);
}

TEST_F(Files, CannotBeWrittenWhereThereIsNoFolder) {
  EXPECT_EQ(kind_thrown_by([&] { write_file_whole(folder_ / "no" / "x", "bytes"); }),
            ErrorKind::Output);
  EXPECT_TRUE(names().empty());
}

TEST_F(Files, LeaveNothingAsideWhenTheRenameFails) {
  fs::create_directories(folder_ / "x" / "inside");  // a file cannot replace a folder
  EXPECT_EQ(kind_thrown_by([&] { write_file_whole(folder_ / "x", "bytes"); }), ErrorKind::Output);
  EXPECT_EQ(names(), (Names{"x", "x/inside"}));
}

TEST_F(Files, MakesAFolderAndThoseAboveItOrSaysWhyNot) {
  make_folder(folder_ / "a/b");
  make_folder(folder_ / "a/b");
  EXPECT_EQ(names(), (Names{"a", "a/b"}));
  write_file_whole(folder_ / "file", "bytes");
  EXPECT_EQ(kind_thrown_by([&] { make_folder(folder_ / "file/c"); }), ErrorKind::Output);
}

TEST(Sha256, MatchesThePublishedExamples) {
  // NIST, "SHA-256" example values to FIPS 180-4: one block, two blocks; and the empty message.
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(FileAside, TakesItsPlaceWhenPublishedAndLeavesNothingElse) {
  const std::filesystem::path folder =
      std::filesystem::path(::testing::TempDir()) / "trammel-aside";
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  write_file_whole(folder / "a", "old");
  {
    FileAside a(folder / "a", "new"), b(folder / "b", "new");
    EXPECT_EQ(FileBytes(folder / "a").view(), "old");
    a.publish();
  }
  EXPECT_EQ(FileBytes(folder / "a").view(), "new");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder), {}), 1);
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace trammel
