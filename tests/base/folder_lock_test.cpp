#include "trammel/base/folder_lock.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <optional>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

TEST(FolderLock, IsHeldByOneAtATime) {
  const std::filesystem::path folder =
      std::filesystem::path(::testing::TempDir()) / "trammel-folder-lock";
  std::filesystem::create_directories(folder);
  std::optional<FolderLock> first(std::in_place, folder);
  EXPECT_THROW(FolderLock second(folder), Error);
  first.reset();
  EXPECT_NO_THROW(FolderLock second(folder));
  EXPECT_NO_THROW(FolderLock missing(folder / "no such folder"));
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace trammel
