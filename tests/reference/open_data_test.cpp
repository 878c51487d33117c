#include "reference/open_data.hpp"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

namespace trammel {
namespace {

/// A file of the archive that no other test reads.
constexpr const char* kOwn = "points_3/b9_training.ply";

/// Asks for the file, waits while others unpack theirs, and ends with 0 where it is still the same.
[[noreturn]] void read_slowly() {
  const std::filesystem::path path = test::debian_data(kOwn);
  struct stat first {};
  struct stat last {};
  bool same = ::stat(path.c_str(), &first) == 0;
  ::usleep(300'000);
  same = same && ::stat(path.c_str(), &last) == 0 && first.st_ino == last.st_ino &&
         first.st_ctim.tv_sec == last.st_ctim.tv_sec &&
         first.st_ctim.tv_nsec == last.st_ctim.tv_nsec;
  ::_exit(same ? 0 : 1);
}

}  // namespace

TEST(OpenData, IsUnpackedOnceHoweverManyTestsAskForItAtOnce) {
  const std::filesystem::path path = test::debian_data(kOwn);
  TRAMMEL_NEEDS(path);
  for (int round = 0; round < 3; ++round) {
    std::filesystem::remove(path);
    for (int i = 0; i < 4; ++i) {
      if (::fork() == 0) read_slowly();
    }
    for (int i = 0; i < 4; ++i) {
      int status = 0;
      ASSERT_GT(::wait(&status), 0);
      EXPECT_EQ(status, 0);
    }
  }
}

}  // namespace trammel
