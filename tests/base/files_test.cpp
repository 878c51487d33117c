#include "trammel/base/files.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <vector>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

namespace fs = std::filesystem;

/// An empty folder of its own for each test, removed afterwards.
class Files : public ::testing::Test {
 protected:
  Files() {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::path(::testing::TempDir()) / ("trammel_files_" + std::string(test->name()));
    fs::remove_all(folder_);
    fs::create_directories(folder_);
  }
  ~Files() override { fs::remove_all(folder_); }

  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(folder_))
      found.push_back(fs::relative(entry.path(), folder_).string());
    std::sort(found.begin(), found.end());
    return found;
  }

  fs::path folder_;
};

using Names = std::vector<std::string>;

template <typename Action>
ErrorKind kind_thrown_by(const Action& action) {
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

TEST(Sha256, MatchesThePublishedExamples) {
  // NIST, "SHA-256" example values to FIPS 180-4: one block, two blocks; and the empty message.
  EXPECT_EQ(sha256_hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256_hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

}  // namespace
}  // namespace trammel
