#pragma once

/// What the tests of files share.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "trammel/base/error.hpp"

namespace trammel::test {

/// An empty folder of its own for each test, removed afterwards.
class OwnFolder : public ::testing::Test {
 protected:
  OwnFolder() {
    const auto* test = ::testing::UnitTest::GetInstance()->current_test_info();
    folder_ = std::filesystem::path(::testing::TempDir()) /
              ("trammel_" + std::string(test->test_suite_name()) + "_" + test->name());
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
  }
  ~OwnFolder() override { std::filesystem::remove_all(folder_); }

  /// All in it, folders too, in order.
  [[nodiscard]] std::vector<std::string> names() const {
    std::vector<std::string> found;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_))
      found.push_back(std::filesystem::relative(entry.path(), folder_).string());
    std::sort(found.begin(), found.end());
    return found;
  }

  std::filesystem::path folder_;
};

/// The kind of the error that the action throws, which must say where and what next.
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

}  // namespace trammel::test
