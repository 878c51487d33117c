#include "trammel/base/run_info.hpp"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <iterator>

namespace trammel {
namespace {

/// Sets SOURCE_DATE_EPOCH and puts back what was there.
class FixedMoment {
 public:
  explicit FixedMoment(const char* seconds) {
    if (const char* value = std::getenv(kName)) before_ = value;
    ::setenv(kName, seconds, 1);
  }
  ~FixedMoment() {
    if (before_.empty()) {
      ::unsetenv(kName);
    } else {
      ::setenv(kName, before_.c_str(), 1);
    }
  }

 private:
  static constexpr const char* kName = "SOURCE_DATE_EPOCH";
  std::string before_;
};

TEST(RunInfo, TakesItsDateFromSourceDateEpoch) {
  {
    const FixedMoment moment("0");
    EXPECT_EQ(run_info_of_this_process({}).date, "1970-01-01");
  }
  const FixedMoment moment("951782400");  // 2000-02-29, a leap day: `date -u -d @951782400`
  EXPECT_EQ(run_info_of_this_process({}).date, "2000-02-29");
}

TEST(RunInfo, QuotesWhatAShellWouldTakeApart) {
  EXPECT_EQ(run_info_of_this_process({"trammel", "check", "my plan.toml", "--out", "a'b", ""})
                .command_line,
            R"(trammel check 'my plan.toml' --out 'a'\''b' '')");
}

TEST(RunInfo, HasTheVersionOfTheProjectLine) {
  std::ifstream file(TRAMMEL_SOURCE_DIR "/CMakeLists.txt");
  const std::string text((std::istreambuf_iterator<char>(file)), {});
  EXPECT_NE(text.find("project(trammel VERSION " + program_version() + " "), std::string::npos);
  EXPECT_EQ(run_info_of_this_process({}).version, program_version());
}

}  // namespace
}  // namespace trammel
