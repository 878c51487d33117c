#include "trammel/base/large_pages.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace trammel {
namespace {

/// From none and a few to some that reach over many large pages.
const std::vector<std::size_t> kCounts = {0, 1, 1000, 5'000'000};

TEST(LargePages, VectorIsAsANewOne) {
  for (const std::size_t count : kCounts) {
    std::vector<int> made = large_vector<int>(count);
    ASSERT_EQ(made.size(), count);
    EXPECT_EQ(std::count(made.begin(), made.end(), 0), static_cast<std::ptrdiff_t>(count));
    made.assign(count, 7);
    made.push_back(8);
    EXPECT_EQ(std::count(made.begin(), made.end(), 7), static_cast<std::ptrdiff_t>(count));
  }
}

TEST(LargePages, ColumnsHoldWhatIsWritten) {
  for (const std::size_t count : kCounts) {
    auto made = large_columns(static_cast<Eigen::Index>(count));
    ASSERT_EQ(made.rows(), 3);
    ASSERT_EQ(made.cols(), static_cast<Eigen::Index>(count));
    made.setConstant(2.0);
    EXPECT_EQ(made.sum(), 6.0 * static_cast<double>(count));
  }
  EXPECT_EQ(large_columns<Eigen::Matrix3Xi>(12).cols(), 12);
}

}  // namespace
}  // namespace trammel
